"""Advice: readings and descriptions in, reasoned answers out."""
