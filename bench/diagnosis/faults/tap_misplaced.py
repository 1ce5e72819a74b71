"""A tap comes out some turns too early or too late: one section has what the other lacks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "tap_misplaced"
CHECK = "turns of both sections by volts at nominal, against their sum"
REMEDY = (
    "outermost winding: unwind to the tap and bring it out where it belongs; else use the halves as they "
    "are, if the load bears it"
)
_MOST = 10


def explains(winding: str, size: str) -> str:
    return f"the tap of {winding} is {size} off"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    read = {one.winding: one for one in case.steps if one.quantity == "turns_by_ratio" and one.measured is not None}
    for winding in case.job.winding:
        parts = [one for one in case.design.spans.values() if one.winding == winding.name and not one.whole]
        for first, second in itertools.pairwise(parts):
            step = read.get(first.name)
            nearest = 0 if step is None or not step.expected else round((step.measured or 0.0) - step.expected)
            for turns in {nearest - 1, nearest, nearest + 1} - {0}:
                if 0 < abs(turns) <= _MOST and abs(turns) < min(abs(first.turns), abs(second.turns)):
                    moved = Variant(turns_added={first.name: turns, second.name: -turns})
                    yield Hypothesis(NAME, first.name, f"{turns:+d} turns", moved, share=1 / (2 * _MOST * len(parts)))
