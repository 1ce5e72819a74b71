"""The error of the record, in a file that a command may import without the database library."""

from __future__ import annotations

__all__ = ["RecordProblem"]


class RecordProblem(Exception):
    """The store can't be opened, written or trusted; the text says where and why."""
