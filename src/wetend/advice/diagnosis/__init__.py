"""Which fault explains the readings: priors, likelihood, weighted samples, next check, words."""
