"""Start and finish of a winding, or of a half of one, are exchanged."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "winding_reversed"
CHECK = "series sum with a link at a few volts, once more"
REMEDY = "unplugged and discharged: exchange its two leads where they come out, and the marks S and F with them"


def explains(winding: str, size: str) -> str:
    return f"{winding} is reversed: start and finish exchanged"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for span in case.design.spans.values():
        if span.winding != case.design.fed:
            yield Hypothesis(NAME, span.name, variant=Variant(reversed_spans=(span.name,)))
