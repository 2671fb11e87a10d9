"""rheology."""
