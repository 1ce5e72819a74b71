"""Long runs over many seeds, each by one named command: `python -m tests.campaigns NAME`."""
