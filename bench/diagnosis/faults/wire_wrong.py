"""Wound with a wire one or two sizes off: ohms go with the square of its diameter."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.allowances import GAUGE_STEP
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "wire_wrong"
CHECK = "unplugged: micrometer on the bare end of its lead"
REMEDY = "thinner: let it carry less, or unplugged and discharged: rewind it; thicker: it may stay where it fits"


def explains(winding: str, size: str) -> str:
    return f"{winding} is wound with wire {size}"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for winding in case.job.winding:
        if winding.wire is None:
            continue
        for steps in (-2, -1, 1, 2):
            words = f"{abs(steps)} size{'s' * (abs(steps) > 1)} {'thicker' if steps > 0 else 'thinner'} than drawn"
            factor = GAUGE_STEP ** (-2 * steps)
            yield Hypothesis(NAME, winding.name, words, Variant(resistance_factor={winding.name: factor}))
