"""What was read and counted on the unit as found."""
