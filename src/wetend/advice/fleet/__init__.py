"""A month of many pumps simulated: what will fail, and what a policy costs."""
