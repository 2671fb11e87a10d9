"""Putting a pump back together: not simply the strip turned round."""
