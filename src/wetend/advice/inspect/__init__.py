"""Measured parts judged: keep, turn over, dress, replace, or measure again."""
