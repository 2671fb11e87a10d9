"""Pictures of what parts look like, new to condemned, to a stated magnification."""
