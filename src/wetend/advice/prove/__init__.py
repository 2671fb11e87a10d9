"""The rebuilt pump proved: tests on the bench and running, their limits and what they show."""
