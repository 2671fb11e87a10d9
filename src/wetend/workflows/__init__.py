"""workflows."""
