"""What parts look like: new, worn and good, at their limit, condemned; with the values of each."""
