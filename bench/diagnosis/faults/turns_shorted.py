"""The enamel of two neighbouring turns is gone: a turn that closes on itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "turns_shorted"
CHECK = "core watts again with nothing joined to any secondary; unplugged: feel for the warm spot"
REMEDY = "find it before varnish: strip to the layer, renew wire and interlayer"
_CONTACTS = (0.0, 0.01, 0.02, 0.04, 0.07, 0.11, 0.16, 0.22, 0.3)


def explains(winding: str, size: str) -> str:
    return f"a turn of {winding} is shorted ({size})"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """One turn of each winding closed by a contact.

    A winding loses of the turn's volts what does not stay on the contact.  While the primary is fed, its own lost turn
    and the drop that the loop adds cancel in the ratios; where another winding is fed it is missing.
    """
    for winding in case.job.winding:
        span = case.design.spans[winding.name]
        if span.resistance is None or not math.isfinite(span.resistance) or winding.turns is None or winding.turns < 2:
            continue
        # One strand is bared and touches itself: one turn of one wire in hand.
        turn = span.resistance * winding.strands / winding.turns
        for contact in _CONTACTS:
            lost = turn / (turn + contact) / winding.strands
            of_fed = winding.name == case.design.fed
            added = {} if of_fed else {winding.name: -lost}
            yield Hypothesis(
                NAME,
                winding.name,
                f"one turn closed by {contact:g} ohm",
                Variant(loop_conductance=1 / (turn + contact), turns_added=added),
                fed_lost=lost if of_fed else 0.0,
            )
