"""The records of a workshop on one PostgreSQL server: each bench keeps its own file first and forwards it.

An entry is named by its hash, so that forwarding it twice keeps it once.  Nothing about what was forwarded is kept on
the bench: the server is asked what it has.
"""
