"""What a meter should show at a step, and what it would show on other leads: how wrong leads are told."""

from __future__ import annotations

import math

from bench.acceptance.requests import Connect, Due, Excite
from bench.job.expectation import Expectation, Span

__all__ = ["amps_due", "leads_due", "linked_due", "ohms_due", "resistor_due", "volts_due"]

# How far a good or faulty unit's own reading may lie from the design's before the leads are asked about, as a factor;
# common practice, no source.
_OWN = 1.5
_OHMS = 2.0
# Volts of a variac that is being turned up: further off than this it is still on its way, or something is wrong.
_VARIAC = 1.12
_LEADS = 5.0  # ohm: more is no two clips that touch each other


def volts_due(expectation: Expectation, place: Connect, volts: float, feed: Excite) -> Due:
    """`volts` on the terminals of `place` while `feed` is on; the volts of all other spans are those of other leads."""
    factor = _VARIAC if feed.source == "variac" and not feed.limiter else _OWN
    low = 0.0 if feed.limiter else volts / factor  # a lamp may rightly keep the volts down
    others = []
    for span in expectation.spans.values():
        if (span.from_terminal, span.to_terminal) != (place.from_terminal, place.to_terminal):
            others.append((span.name, feed.volts * abs(expectation.ratio(span.name))))
    return Due(volts, low, volts * factor, _told_apart(volts, others))


def linked_due(highest: float) -> Due:
    """A series sum: anything up to both windings' volts together is the unit's own."""
    return Due(highest, 0.0, highest * _OWN)


def ohms_due(expectation: Expectation, span: Span) -> Due | None:
    """A winding's resistance; None where the design does not say it."""
    ohms = span.resistance
    if ohms is None or not math.isfinite(ohms):
        return None
    others = [
        (one.name, one.resistance)
        for one in expectation.spans.values()
        if one.name != span.name and one.resistance is not None and math.isfinite(one.resistance)
    ]
    # Few ohms: the leads of a two-wire meter may double them.
    return Due(ohms, ohms / _OHMS, ohms * _OHMS + 0.5, _told_apart(ohms, others))


def leads_due() -> Due:
    """Both clips on one wire."""
    return Due(0.0, 0.0, _LEADS)


def amps_due(amps: float) -> Due:
    """The exciting current: a bad core takes many times as much, and none of it tells where the leads are."""
    return Due(amps, amps / 20, math.inf)


def resistor_due(volts: float) -> Due:
    """Volts across the known resistor, as the current."""
    return Due(volts, volts / 20, math.inf)


def _told_apart(value: float, others: list[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """Those that lie far enough from what is due to be told from it."""
    return tuple((name, other) for name, other in others if not value / _OHMS <= other <= value * _OHMS)
