"""What the workshop makes from a plan of the winding: support block, drawing, winding program."""
