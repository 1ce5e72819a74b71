"""One person at one bench: a job, its lock, its record, and the instruments opened for it; for command and window."""
