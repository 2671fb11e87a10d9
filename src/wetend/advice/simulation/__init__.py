"""A described pump with faults of known size, simulated in time and shown."""
