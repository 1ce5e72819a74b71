"""The acceptance test as it is seen from the bench."""
