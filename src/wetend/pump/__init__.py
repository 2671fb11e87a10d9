"""The nouns of the job: pump, coating, readings, measurements."""
