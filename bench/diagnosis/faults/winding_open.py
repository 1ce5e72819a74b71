"""The wire of a winding, or of a section, is broken or not joined to its lead."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "winding_open"
CHECK = "unplugged: ohmmeter on the joint between wire and lead"
REMEDY = (
    "unplugged and discharged: open the lead's anchoring, clean and remake the joint; inside the winding: strip to the "
    "layer"
)


def explains(winding: str, size: str) -> str:
    return f"{winding} is open"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for winding in case.job.winding:
        sections = [one.name for one in case.design.spans.values() if one.winding == winding.name and not one.whole]
        for name in sections or [winding.name]:
            yield Hypothesis(NAME, name, variant=Variant(open_winding=name))
