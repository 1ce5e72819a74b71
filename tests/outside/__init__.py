"""Comparisons with programs that a user has not got: `python -m tests.outside` runs them and keeps their results."""
