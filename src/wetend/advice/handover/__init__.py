"""Hand-over: set-up sheet, care between jobs, and what a signature says."""
