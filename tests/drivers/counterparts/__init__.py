"""Meters on SCPI engines that nobody here wrote; only what is measured is described here."""
