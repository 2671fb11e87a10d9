"""The stroke: drive, wet end, leaks, hose and nozzle together."""
