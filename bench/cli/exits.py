"""Exit statuses."""

from __future__ import annotations

from enum import IntEnum

from bench.sitting.problems import BadInput, InstrumentTrouble

__all__ = ["ExitStatus", "of_problem", "of_verdict"]


class ExitStatus(IntEnum):
    DONE = 0
    REJECTED = 1
    UNDECIDED = 2
    BAD_INPUT = 3
    TROUBLE = 4
    INTERRUPTED = 130


def of_problem(problem: BadInput | InstrumentTrouble) -> ExitStatus:
    """The status that a problem ends a command with."""
    return ExitStatus.BAD_INPUT if isinstance(problem, BadInput) else ExitStatus.TROUBLE


def of_verdict(verdict: str) -> ExitStatus:
    """The status that a unit's verdict ends a command with."""
    return {
        "accepted": ExitStatus.DONE,
        "rejected": ExitStatus.REJECTED,
        "undecided": ExitStatus.UNDECIDED,
        "incomplete": ExitStatus.UNDECIDED,
        "trouble": ExitStatus.TROUBLE,
    }[verdict]
