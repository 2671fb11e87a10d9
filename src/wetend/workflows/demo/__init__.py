"""The invented demo depot: its scenario, its lives, and how it is built."""
