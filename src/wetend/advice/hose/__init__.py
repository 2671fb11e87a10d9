"""Effect of hose compliance on strokes and readings."""
