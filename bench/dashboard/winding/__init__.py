"""The winding as it is seen from the machine."""
