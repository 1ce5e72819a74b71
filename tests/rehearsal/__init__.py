"""Tests of the simulated bench."""
