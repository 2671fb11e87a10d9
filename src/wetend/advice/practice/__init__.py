"""Exercises for a trainer: a pump with a hidden fault, and the code that shares it."""
