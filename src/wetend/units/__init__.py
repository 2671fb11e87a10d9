"""Units of measurement as the annotations that forms, commands, reports and JSON read."""
