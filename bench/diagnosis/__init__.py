"""Which fault explains all the readings together, and how probable it is against the others."""
