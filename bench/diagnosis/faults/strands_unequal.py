"""Wires in hand that do not have the same turns: the difference drives a current round in them."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "strands_unequal"
CHECK = "unplugged: part the wires at one end; a few volts on the primary must show nothing between them"
REMEDY = (
    "unplugged and discharged: part the wires at one end, count both, and add or take off the turn before they are "
    "joined again"
)
_TURNS = (1, 2)


def explains(winding: str, size: str) -> str:
    return f"the wires in hand of {winding} differ by {size}"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for winding in case.job.winding:
        span = case.design.spans[winding.name]
        if winding.strands < 2 or span.resistance is None or winding.taps or (winding.turns or 0) <= _TURNS[-1]:
            continue
        n, drawn = winding.strands, winding.turns or 0
        strand = span.resistance * n
        for turns in _TURNS:
            for odd in (drawn + turns, drawn - turns):
                # The odd one against all others in parallel, each wire's ohms as its turns: their common volts are
                # those of turns weighed by what each conducts.
                common = n * drawn / (n - 1 + drawn / odd)
                loop = strand * (odd / drawn + 1 / (n - 1))
                variant = Variant(turns_added={winding.name: common - drawn}, loop_conductance=turns**2 / loop)
                yield Hypothesis(NAME, winding.name, f"{odd - drawn:+d} turn" + "s" * (turns > 1), variant)
