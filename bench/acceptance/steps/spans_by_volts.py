"""Volts of many windings against the primary's, the reference read before and after."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.requests import Connect, Excite, Request, Skipped, Trouble
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Quantity, Reading, State

__all__ = ["Read", "read_again", "read_against_primary", "read_span", "reference_at"]

Read = tuple[Estimate, Reading, Reading]
"""A span's volts over the primary's, its own reading and the reference."""


def read_span(context: Context, step: str, span: Span, feed: Excite, text: str) -> Generator[Request, Any, Reading]:
    """Volts on one span while the primary is fed; the range is chosen from the design, the same for near values."""
    expected = feed.volts * abs(span.turns / context.expectation.fed_span.turns)
    yield from context.connect(
        Connect(
            step,
            Quantity.VOLTAGE_AC,
            span.from_terminal,
            span.to_terminal,
            winding=span.winding,
            text=text,
            expected=expected,
        )
    )
    yield from context.excite(feed)
    reading = yield from context.take(step, Quantity.VOLTAGE_AC, expected * 1.05, samples=2)
    if reading.state is State.OVERLOAD:
        # More than is drawn, but never more than the highest on this unit: how much more tells which leads these are.
        reading = yield from context.take(step, Quantity.VOLTAGE_AC, feed.hazard * 1.05, samples=2)
    return reading


def read_against_primary(
    context: Context, kind: str, spans: list[Span], feed: Excite
) -> Generator[Request, Any, dict[str, Read]]:
    """For each span: its volts over the primary's, with both readings; a skipped span lacks.

    Reference, spans, reference: what the supply drifted between the two is taken out on a line, and half of it is kept
    as a component.  Raises Trouble when the primary itself can't be read.
    """
    found, skipped = yield from _read_all(context, kind, spans, feed)
    for name, reason in skipped.items():
        context.skip(f"{kind}:{name}", reason)
    return found


def read_again(
    context: Context, kind: str, spans: list[Span], feed: Excite, text: str
) -> Generator[Request, Any, dict[str, Read | str]]:
    """The same once more, leads put on anew; for a span that is skipped, the reason."""
    fed = context.expectation.fed_span
    look = Connect(kind, Quantity.VOLTAGE_AC, fed.from_terminal, fed.to_terminal, winding=fed.winding, text=text)
    try:
        yield from context.connect(look)
        found, skipped = yield from _read_all(context, kind, spans, feed)
    except Skipped as reason:
        return {span.name: str(reason) for span in spans}
    return {**found, **skipped}


def _read_all(
    context: Context, kind: str, spans: list[Span], feed: Excite
) -> Generator[Request, Any, tuple[dict[str, Read], dict[str, str]]]:
    fed = context.expectation.fed_span
    before = yield from _reference(context, kind, fed, feed)
    readings: dict[str, Reading] = {}
    skipped: dict[str, str] = {}
    for span in spans:
        step = f"{kind}:{span.name}"
        try:
            readings[span.name] = yield from read_span(context, step, span, feed, f"Voltmeter on {span.name}.")
        except Skipped as reason:
            skipped[span.name] = str(reason)
    after = yield from _reference(context, kind, fed, feed)
    found = {}
    for name, reading in readings.items():
        if reading.state is State.GOOD:
            found[name] = (Estimate.of(reading) / reference_at(before, after, reading, kind), reading, before)
        else:
            raise Trouble(f"{kind}:{name}: the meter reads {reading.state} where volts are due")
    return found, skipped


def reference_at(before: Reading, after: Reading, reading: Reading, kind: str) -> Estimate:
    """The primary's volts at the moment of a reading, on the line between the two references."""
    first, last = Estimate.of(before), Estimate.of(after)
    length = after.monotonic - before.monotonic
    share = 0.5 if length <= 0 else min(1.0, max(0.0, (reading.monotonic - before.monotonic) / length))
    drift = abs(last.value - first.value) / 2 / 3**0.5
    return (first * (1 - share) + last * share).also(f"{kind}:drift", drift)


def _reference(context: Context, kind: str, fed: Span, feed: Excite) -> Generator[Request, Any, Reading]:
    step = f"{kind}:{fed.name}"
    reading = yield from read_span(context, step, fed, feed, f"Voltmeter on {fed.name}, the winding that is fed.")
    if reading.state is not State.GOOD or not reading.value or reading.value < 0.2 * feed.volts:
        raise Trouble(
            f"{step}: {feed.volts:.3g} V were asked for and the meter reads {_told(reading)}: supply, fuse or leads?"
        )
    return reading


def _told(reading: Reading) -> str:
    return str(reading.state) if reading.value is None else f"{reading.value:.3g} V"
