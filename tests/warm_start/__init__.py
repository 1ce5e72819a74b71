"""Starts the command from a process that has imported it already: half of the suite's time was imports.

What is started is a process of its own in every other way: its own streams, folder, environment, terminal and signals,
and the one who started it is its parent. Where the import or the interpreter's start is what is tested, `TURNPROOF` of
tests/cli/running.py starts it cold.
"""

from tests.warm_start.started import HURRIED, Started

__all__ = ["HURRIED", "Started"]
