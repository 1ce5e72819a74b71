"""A certificate written beside the window; where it amends one that was given, the person is asked why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.dashboard.parts.act import Question
from bench.sitting.reason import is_reason

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["WrittenPaper", "reason_question", "written_paper"]


@dataclass(frozen=True)
class WrittenPaper:
    """path: None where a reason is wanted first;  words: for the person;  ask: what is wanted, in a few words."""

    path: Path | None
    words: str
    ask: str = ""


def written_paper(store: Store, number: str, path: Path, *, over: bool, because: str) -> WrittenPaper:
    """Raises BadInput, InstrumentTrouble, RecordProblem."""
    from bench.sitting.certificate_file import ReasonWanted, certificate_as_file, told_of

    try:
        gift = certificate_as_file(store, number, path, over=over, because=because)
    except ReasonWanted as wanted:
        return WrittenPaper(None, str(wanted), wanted.ask)
    return WrittenPaper(path, f"{path}: {told_of(gift)}")


def reason_question(wanted: WrittenPaper, go_on: Callable[[str], object]) -> Question:
    """go_on: with the reason."""

    def answered(answers: tuple[str, ...]) -> str:
        if not is_reason(answers[0]):
            return "expected a reason in words"
        go_on(answers[0].strip())
        return ""

    return Question((wanted.ask,), answered)
