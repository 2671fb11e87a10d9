"""stats."""
