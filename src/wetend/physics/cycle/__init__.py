"""The cycle: both strokes one after the other, with what hose and cylinder hold between them."""
