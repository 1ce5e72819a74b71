"""The enamel of two neighbouring turns is gone: a turn that closes on itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.loops_told import contacts_told
from bench.diagnosis.sizes import shares_by
from bench.job.expectation import Span, Variant

NAME = "turns_shorted"
CHECK = "watts at a few volts again, nothing joined to any secondary; unplugged: the coil felt for a warm spot"
REMEDY = "unplugged and discharged: find it before varnish: strip to the layer, renew wire and interlayer"
_CONTACTS = (0.0, 0.008, 0.02, 0.04, 0.07, 0.12, 0.2, 0.3)


def explains(winding: str, size: str) -> str:
    return f"a turn of {winding} is shorted ({size})"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """One turn of each winding closed by a contact; of a winding with taps, in each of its sections.

    A winding loses of the turn's volts what does not stay on the contact.  While the primary is fed, its own lost turn
    and the drop that the loop adds cancel in the ratios; where another winding is fed it is missing.
    """
    places = []
    for winding in case.job.winding:
        span = case.design.spans[winding.name]
        if span.resistance is None or not math.isfinite(span.resistance) or winding.turns is None or winding.turns < 2:
            continue
        sections = [one for one in case.design.spans.values() if one.winding == winding.name and not one.whole]
        # One strand is bared and touches itself: one turn of one wire in hand.
        turn = span.resistance * winding.strands / winding.turns
        places.append((span, sections, turn, winding.strands))
    for whole, sections, turn, strands in places:
        contacts = sorted({*_CONTACTS, *contacts_told(case, turn, _CONTACTS[-1])})
        shares = shares_by(contacts, case.contacts[NAME])
        for span in sections or [whole]:
            for contact, share in zip(contacts, shares, strict=True):
                yield _of(case, span, turn, strands, contact, share / len(places) / max(1, len(sections)))


def _of(case: Case, span: Span, turn: float, strands: int, contact: float, share: float) -> Hypothesis:
    lost = turn / (turn + contact) / strands
    of_fed = span.winding == case.design.fed
    return Hypothesis(
        NAME,
        span.winding,
        f"one turn closed by {contact:.2g} ohm",
        Variant(loop_conductance=1 / (turn + contact), turns_added={} if of_fed else {span.name: -lost}),
        fed_lost=lost if of_fed else 0.0,
        share=share,
    )
