"""SVG of pump, stack, clock, strokes and verdicts: pure functions from values to text."""
