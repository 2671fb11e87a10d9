"""What was done: entries, kept for good, folded into visits and histories."""
