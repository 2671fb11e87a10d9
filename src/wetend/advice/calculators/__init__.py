"""calculators."""
