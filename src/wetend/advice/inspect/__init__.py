"""Judgement of measured parts: keep, turn over, dress, replace, or measure again."""
