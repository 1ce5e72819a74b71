"""Finding jobs among many: tables derived from the entries, brought up to them when somebody searches.

They are no part of the chain and may be thrown away at any time: the entries say all of it again.
"""
