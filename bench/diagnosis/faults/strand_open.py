"""One of several wires in hand is broken or was not caught by the solder: more ohms, the same turns."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "strand_open"
CHECK = "unplugged: each wire of the lead tugged and looked at under a glass; ohms again with the joint remade"
REMEDY = (
    "unplugged and discharged: clean all wires of the lead bare and solder them anew; inside the winding: strip "
    "to the break, or live with less current"
)


def explains(winding: str, size: str) -> str:
    return f"one of the wires in hand of {winding} is open ({size})"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for winding in case.job.winding:
        if winding.strands > 1:
            factor = winding.strands / (winding.strands - 1)
            size = f"{winding.strands - 1} of {winding.strands} carry"
            yield Hypothesis(NAME, winding.name, size, Variant(resistance_factor={winding.name: factor}))
