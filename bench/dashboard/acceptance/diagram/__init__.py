"""The unit at the bench as a drawing: its windings and leads, and what is joined to them now."""
