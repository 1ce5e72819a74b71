"""The acceptance test: what is measured in which order, against which limits, and what that proves."""
