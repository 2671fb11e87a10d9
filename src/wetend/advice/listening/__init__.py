"""Stroke times from taps, a sound recording or a pressure log, and how far to trust them."""
