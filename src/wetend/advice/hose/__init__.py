"""What a hose's compliance does to the strokes that one sees, times and reads."""
