"""Proof of the rebuilt pump: tests on the bench and running, their limits and what they show."""
