"""Turns of a pump found in taps, in its sound, and in the log of its pressure."""
