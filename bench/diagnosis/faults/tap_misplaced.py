"""A tap comes out some turns too early or too late: one section has what the other lacks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from bench.acceptance.result import StepResult
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "tap_misplaced"
CHECK = "turns of both sections by volts at nominal, against their sum"
REMEDY = (
    "unplugged and discharged: outermost winding: unwind to the tap and bring it out where it belongs; else use "
    "the halves as they are, if the load bears it"
)
_MOST = 10
# Standard uncertainties of a reading within which a number of turns is still weighed.
_DOUBTS = 3.5


def explains(winding: str, size: str) -> str:
    return f"the tap of {winding} is {size} off"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    read = {one.winding: one for one in case.steps if one.quantity == "turns_by_ratio" and one.measured is not None}
    taps = sum(len(one.taps) for one in case.job.winding)
    for winding in case.job.winding:
        parts = [one for one in case.design.spans.values() if one.winding == winding.name and not one.whole]
        for first, second in itertools.pairwise(parts):
            for turns in _near(read.get(first.name)):
                if abs(turns) < min(abs(first.turns), abs(second.turns)):
                    moved = Variant(turns_added={first.name: turns, second.name: -turns})
                    yield Hypothesis(NAME, first.name, f"{turns:+d} turns", moved, share=1 / (2 * _MOST * taps))


def _near(step: StepResult | None) -> list[int]:
    """Whole turns off that the volts of the section leave open; any, where they were not read."""
    away, doubt = 0.0, float(_MOST)
    if step is not None and step.measured is not None and step.expected:
        away, doubt = step.measured - step.expected, 1 + _DOUBTS * step.u
    return [turns for turns in range(-_MOST, _MOST + 1) if turns and abs(turns - away) <= doubt]
