"""Errors of the record, in a file that a command may import without the database library."""

from __future__ import annotations

__all__ = ["RecordDiverged", "RecordProblem", "ServerAway"]


class RecordProblem(Exception):
    """The store can't be opened, written or trusted; the text says where and why."""


class RecordDiverged(RecordProblem):
    """A job was gone on with at two places, each without the entries of the other."""


class ServerAway(RecordProblem):
    """A workshop's server can't be reached just now, or went away in the middle: worth another try."""
