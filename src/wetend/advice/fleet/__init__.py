"""Fleet simulation: expected failures, and the cost of maintenance policies."""
