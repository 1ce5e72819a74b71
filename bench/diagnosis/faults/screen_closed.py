"""The two ends of a screen touch: a turn that closes on itself."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.loops_told import contacts_told
from bench.diagnosis.sizes import shares_by
from bench.job.expectation import Variant

NAME = "screen_closed"
CHECK = (
    "unplugged: lift the screen's overlap; with both its ends out, a few volts on the primary must show "
    "one turn's volts between them"
)
REMEDY = "never power it; unplugged and discharged: open the overlap and insulate it"
_CONTACTS = (0.0, 0.003, 0.01, 0.02, 0.04, 0.07, 0.1, 0.14, 0.2, 0.3)
# From so many standard uncertainties under a whole turn the volts tell a contact.
_TOLD = 1.5


def explains(winding: str, size: str) -> str:
    return f"{winding} closes on itself ({size})"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Closed by contacts of some sizes, and by the one that the volts between its ends tell.

    The foil's ohms are those calculated: what is read from lead to lead has the leads' joints in it, which no current
    round the core passes.
    """
    for name, foil in case.design.screen_ohms.items():
        told = [
            foil * one.measured / (1 - one.measured)
            for one in case.steps
            if one.quantity == "screen_volts" and one.winding == name
            if one.measured is not None and 0 < one.measured < 1 - _TOLD * one.u
        ]
        told += contacts_told(case, foil, _CONTACTS[-1])
        contacts = sorted({*_CONTACTS, *(one for one in told if one < _CONTACTS[-1])})
        for contact, share in zip(contacts, shares_by(contacts, case.contacts[NAME]), strict=True):
            yield Hypothesis(
                NAME,
                name,
                f"closed by {contact:.2g} ohm",
                Variant(loop_conductance=1 / (foil + contact)),
                closed_screen=name,
                screen_share=contact / (foil + contact),
                share=share / len(case.design.screen_ohms),
            )
