"""Pages that take stroke times from a recording, a log or taps."""
