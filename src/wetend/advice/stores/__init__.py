"""What to hold, count, order and take along: van, depot and the box for one call."""
