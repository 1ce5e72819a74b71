"""What the database says when it can't, and what somebody at a bench can do about it."""

from __future__ import annotations

import sqlite3

__all__ = ["is_held", "may_not_be_written", "reason_words"]

_WHAT_TO_DO = {
    "SQLITE_FULL": "free some space and begin again; what was shown as stored is kept",
    "SQLITE_BUSY": "another program holds the record, perhaps one that looks into databases; close it there",
    "SQLITE_READONLY": "file and folder must be writable for you; what is kept can still be read",
    "SQLITE_CANTOPEN": "is the folder there, and writable for you?",
    "SQLITE_CORRUPT": "keep a copy of its folder as it is; what can be read tells: turnproof record verify JOB",
    "SQLITE_NOTADB": "keep a copy of it as it is, and put back the last good one",
    "SQLITE_IOERR": "is the disk full, or failing? Keep a copy of the record's folder",
}
"""By the code's beginning: the extended codes say where in the system it happened, which helps nobody here."""


def reason_words(cause: BaseException) -> str:
    """One line: what the database said, and behind it what can be done, where something can."""
    if "Could not decode" in str(cause):  # and all of the text behind it
        return "an entry is damaged: turnproof record verify JOB"
    said = (str(cause).splitlines() or [type(cause).__name__])[0]
    code = str(getattr(cause, "sqlite_errorname", None) or "")
    todo = next((words for name, words in _WHAT_TO_DO.items() if code.startswith(name)), "")
    return f"{said}; {todo}" if todo else said


def is_held(cause: BaseException | None) -> bool:
    """Whether another program holds the record just now."""
    return isinstance(cause, sqlite3.Error) and _code(cause).startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def may_not_be_written(cause: BaseException | None) -> bool:
    """Whether it could not be opened since nothing may be written there, or no room is left for that."""
    codes = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_FULL", "SQLITE_IOERR", "SQLITE_PERM")
    return isinstance(cause, sqlite3.Error) and _code(cause).startswith(codes)


def _code(cause: sqlite3.Error) -> str:
    return str(getattr(cause, "sqlite_errorname", "") or "")
