"""Flow laws of coatings, what a cup or rheometer says of them, and pipe flow by each."""
