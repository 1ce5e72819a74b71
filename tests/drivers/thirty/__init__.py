"""The thirty things that a line to a meter can do, each tried on a scripted meter behind a real pseudo-terminal or socket.

The number stands in the docstring of each test (`case 7`); `test_all_thirty.py` sees to it that none is missing.
"""
