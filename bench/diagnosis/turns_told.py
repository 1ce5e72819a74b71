"""Whole turns that a winding may be off by, as a search coil or a comparison fed from a third winding tells them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.acceptance.result import StepResult
from bench.diagnosis.hypothesis import Case
from bench.diagnosis.pairs import pair_of

__all__ = ["turns_told"]

_MOST_REACH = 12


def turns_told(case: Case) -> Iterator[tuple[str, int]]:
    """Winding or section, and turns more (less) than drawn; as far about the reading as two of its doubts reach."""
    spans, fed = case.design.spans, case.design.fed
    for step in case.steps:
        head, _, name = step.id.partition(":")
        if step.measured is None or step.measured <= 0 or not step.expected:
            continue
        if head == "search":
            yield from _near(fed, spans[fed].turns, step.expected / step.measured, step)
        elif head == "backfed" and (pair := pair_of(name, spans)) is not None:
            one, other = pair
            yield from _near(one, spans[one].turns, step.measured / step.expected, step)
            yield from _near(other, spans[other].turns, step.expected / step.measured, step)


def _near(name: str, turns: float, share: float, step: StepResult) -> Iterator[tuple[str, int]]:
    assert step.measured is not None
    turns = abs(turns)
    nearest = round(turns * (share - 1))
    reach = min(_MOST_REACH, 1 + math.ceil(2 * turns * step.u / step.measured))
    for off in range(nearest - reach, nearest + reach + 1):
        if off and abs(off) <= max(3, 0.1 * turns) and turns + off > 0:
            yield name, off
