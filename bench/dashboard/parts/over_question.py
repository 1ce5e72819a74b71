"""Asks before a file that is there is written over."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from bench.dashboard.parts.act import Question

__all__ = ["over_question"]


def over_question(path: Path, write: Callable[[], None]) -> Question:
    """write: done for a yes; for a no nothing is."""

    def answered(answers: tuple[str, ...]) -> str:
        match answers[0].lower():
            case "y" | "yes":
                write()
                return ""
            case "n" | "no":
                return ""
        return f"{answers[0][:40]!r}: expected yes or no"

    return Question((f"{path.name} is there: write over it? yes or no",), answered, ("yes", "no"))
