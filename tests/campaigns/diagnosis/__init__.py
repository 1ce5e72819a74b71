"""Units with one fault or none, tested in the rehearsal and diagnosed from the readings alone."""
