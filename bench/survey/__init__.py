"""What was read and counted on the unit as found, and what follows from it."""
