"""drawings."""
