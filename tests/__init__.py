"""The tests, mirroring bench and drivers; a package so that no folder of it hides a room of the program."""
