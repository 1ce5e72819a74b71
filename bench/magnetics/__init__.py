"""The physics of a small mains transformer: pure functions and small frozen values, SI throughout."""
