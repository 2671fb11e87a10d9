"""The wet end in section: its parts, a pose, a run in motion, and what is worth a size."""
