"""Pictures of measuring: which instrument, where on the part, how often, and what not to touch."""
