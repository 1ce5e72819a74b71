"""Burrs, or a bolt without its sleeve, join laminations: eddy currents round the core."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.sizes import even_shares
from bench.job.expectation import Variant

NAME = "laminations_bridged"
CHECK = "unplugged: the sleeves and washers of the bolts; core watts again with the bolts loosened"
REMEDY = "unplugged and discharged: file the burrs, renew sleeves and washers of the bolts, varnish the edges"
_MORE = (0.25, 0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 1.9)
_SHARES = even_shares(_MORE, 0.2, 2.0)


def explains(winding: str, size: str) -> str:
    return f"laminations are bridged: about {size} more watts at nominal"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """A loop through the core that takes so much more than the good core at nominal; it goes with the volts squared."""
    design = case.design
    if design.curve is None:
        return
    per_turn = design.voltage / abs(design.fed_span.turns)
    for more, share in zip(_MORE, _SHARES, strict=True):
        siemens = more * design.curve.watts_at(design.voltage) / per_turn**2
        yield Hypothesis(NAME, size=f"{more * 100:.0f} %", variant=Variant(loop_conductance=siemens), share=share)
