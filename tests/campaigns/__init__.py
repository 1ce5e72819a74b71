"""Long runs over many seeds, each by one named command: `python -m tests.campaigns NAME`."""

import os

# Before numpy is imported by any campaign: with more threads small matrices only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
