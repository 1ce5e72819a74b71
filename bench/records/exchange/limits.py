"""Bounds of what is taken in from elsewhere: far beyond any job, and small enough for the machine that reads it."""

from __future__ import annotations

__all__ = [
    "LARGEST_BUNDLE",
    "LARGEST_JOB",
    "LARGEST_LINES",
    "LARGEST_MANIFEST",
    "LARGEST_PROFILE",
    "LARGEST_RECORD",
    "LONGEST_LINE",
    "MOST_DEEP",
    "MOST_FILES",
    "MOST_TIMES",
]

MOST_FILES = 2_000
LARGEST_BUNDLE = 4_000_000_000
"""Bytes of the file, and of all in it once it is unpacked."""
LARGEST_MANIFEST = 2_000_000
LARGEST_RECORD = 2_000_000_000
"""Bytes; a million counts have 600 MB.  It is read an entry at a time."""
LONGEST_LINE = 16_000_000
"""Bytes of one entry; the result of a test has 0.1 MB, a job file at most 1 MB."""
LARGEST_JOB = 1_000_000
LARGEST_PROFILE = 1_000_000
LARGEST_LINES = 1_000_000_000
"""Bytes of one segment of what a counter's line brought."""
MOST_TIMES = 1_000
"""An unpacked byte for each packed one, at most: DEFLATE reaches 1032, text of ours 20."""
MOST_DEEP = 40
"""Lists and objects in each other."""
