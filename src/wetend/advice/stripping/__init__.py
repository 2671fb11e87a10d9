"""stripping."""
