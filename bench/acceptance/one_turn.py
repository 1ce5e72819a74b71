"""What one turn round the core gives while the primary is fed, and what it takes to read it."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.decision import COVERAGE
from bench.acceptance.requests import Excite, Request, Trouble
from bench.acceptance.steps.spans_by_volts import read_span
from bench.estimate import Estimate
from bench.quantities import show
from drivers.reading import Reading, State

__all__ = ["one_turn", "reference_volts", "what_reads"]

# Half width of a hand-held meter's error at the foot of its range, as a share of the range: some counts of 2000
# (memory of usual leaflets).
_OF_RANGE = 0.003
_RANGES = (200.0, 20.0, 2.0, 0.2)


def reference_volts(context: Context, step: str, feed: Excite) -> Generator[Request, Any, Reading]:
    """Volts on the primary while it is fed; raises Trouble where they are not there."""
    fed = context.expectation.fed_span
    reading = yield from read_span(context, step, fed, feed, f"Voltmeter on {fed.name}, the winding that is fed.")
    if reading.state is not State.GOOD or not reading.value or reading.value < 0.2 * feed.volts:
        told = str(reading.state) if reading.value is None else f"{reading.value:.3g} V"
        raise Trouble(f"{step}: {feed.volts:.3g} V were asked for and the meter reads {told}: supply, fuse or leads?")
    return reading


def one_turn(context: Context, reference: Reading) -> Estimate:
    """Volts [V] that one turn gives, by the volts on the primary, its turns as designed and its drop."""
    expectation = context.expectation
    volts = Estimate.of(reference)
    drop = expectation.drop(volts.value)
    turn = volts * ((1 - drop) / abs(expectation.fed_span.turns))
    turn = turn.also("drop in the primary", turn.value * drop * expectation.u_log_drop)
    return turn.also("leakage of the primary", turn.value * expectation.leakage(volts.value) / 3**0.5)


def what_reads(u: float) -> str:
    """Which meter reads few volts with a standard uncertainty of `u` [V], in words."""
    span = next((span for span in _RANGES if _OF_RANGE * span / 3**0.5 <= u), None)
    if span is None:
        return f"a millivoltmeter for alternating volts that reads to ±{show(COVERAGE * u, 'V', 2)}"
    return f"an AC range of {show(span, 'V', 2)} or less"
