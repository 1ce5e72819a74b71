"""How the steps of a test stand in a few lines: the group at hand opened, every other a count with its worst sign."""

from __future__ import annotations

from dataclasses import dataclass

from bench.acceptance.decision import Verdict
from bench.dashboard.acceptance.comparison import Group

__all__ = ["GroupSummary", "in_rows", "summary_of"]

_WORST = (
    Verdict.REJECTED, Verdict.TROUBLE, Verdict.INCOMPLETE, Verdict.UNDECIDED, Verdict.NOT_DONE, Verdict.ACCEPTED,
)  # fmt: skip


@dataclass(frozen=True)
class GroupSummary:
    """signs: of the steps one by one where the group is opened, else the worst alone;  count: words behind the name."""

    name: str
    signs: tuple[Verdict | None, ...]
    count: str
    current: bool


def summary_of(group: Group, current: str, left_out: frozenset[str]) -> GroupSummary:
    """current: id of the step at hand;  left_out: ids of steps that were not done."""
    verdicts = [
        Verdict.NOT_DONE if cell.result is None and cell.id in left_out else None if cell.result is None else
        cell.result.verdict for cell in group.cells
    ]  # fmt: skip
    if any(cell.id == current for cell in group.cells):
        return GroupSummary(group.name, tuple(verdicts), "", True)
    done = [one for one in verdicts if one is not None]
    worst = next((verdict for verdict in _WORST if verdict in done), None)
    if len(done) < len(verdicts) and worst in (Verdict.ACCEPTED, Verdict.NOT_DONE):
        worst = None  # not through with it, and nothing wrong so far
    return GroupSummary(group.name, (worst,), _count(verdicts, done, worst), False)


def _count(verdicts: list[Verdict | None], done: list[Verdict], worst: Verdict | None) -> str:
    whole = len(verdicts)
    if whole == 1:
        return ""
    if done and len(done) < whole:
        return f"{len(done)}/{whole}"
    bad = done.count(worst) if worst is not None else whole
    return f"{bad} of {whole}" if worst is not None and bad < whole else str(whole)


def in_rows(widths: list[float], room: float, rows: int) -> list[int] | None:
    """How many go into each of so many rows of this width, in order; None where they don't go in."""
    counts: list[int] = []
    used, number = 0.0, 0
    for width in widths:
        if number and used + width > room:
            counts.append(number)
            used, number = 0.0, 0
        if width > room:
            return None
        used += width
        number += 1
    counts.append(number)
    return counts if len(counts) <= rows else None
