"""How the running checks are weighed: priors, likelihood, particles, words."""
