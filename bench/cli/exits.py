"""Exit statuses, and the problems that end a command with one line."""

from __future__ import annotations

from enum import IntEnum

import click

__all__ = ["BadInput", "ExitStatus", "InstrumentTrouble", "of_verdict"]


class ExitStatus(IntEnum):
    DONE = 0
    REJECTED = 1
    UNDECIDED = 2
    BAD_INPUT = 3
    TROUBLE = 4
    INTERRUPTED = 130


class BadInput(click.ClickException):
    """What was given can't be used; one line a problem: what, where, expected."""

    exit_code = ExitStatus.BAD_INPUT


class InstrumentTrouble(click.ClickException):
    """An instrument, the supply or the record failed; one line."""

    exit_code = ExitStatus.TROUBLE


def of_verdict(verdict: str) -> ExitStatus:
    """The status that a unit's verdict ends a command with."""
    return {
        "accepted": ExitStatus.DONE,
        "rejected": ExitStatus.REJECTED,
        "undecided": ExitStatus.UNDECIDED,
        "incomplete": ExitStatus.UNDECIDED,
        "trouble": ExitStatus.TROUBLE,
    }[verdict]
