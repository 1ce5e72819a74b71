"""Timing runs, by one named command: `python -m tests.benchmarks`."""
