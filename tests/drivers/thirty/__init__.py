"""The thirty things that a line to a meter can do, each tried on a scripted meter behind a real line.

The line is a pseudo-terminal, or a socket where a case is about sockets.

The number stands in the docstring of each test (`case 7`); `test_all_thirty.py` sees to it that none is missing.
"""
