"""Problems that end what was begun with one line: for a command its last, for the window a notice."""

from __future__ import annotations

__all__ = ["BadInput", "InstrumentTrouble"]


class BadInput(Exception):
    """What was given can't be used; one line a problem: what, where, expected."""


class InstrumentTrouble(Exception):
    """An instrument, the supply or the record failed; one line."""
