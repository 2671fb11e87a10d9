"""The pump handed back: set-up sheet, care between jobs, and what a signature says."""
