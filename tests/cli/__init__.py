"""Tests of bench.cli."""
