"""The new windings: what is asked, what was found, and how it fills the window."""
