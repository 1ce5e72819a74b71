"""Volts of many windings against the primary's: the reference before and after, and in between where it drifts."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.decision import COVERAGE
from bench.acceptance.due import volts_due
from bench.acceptance.requests import Connect, Excite, Request, Skipped, Trouble
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Quantity, Reading, State

__all__ = ["UNSEEN_DRIFT", "Read", "read_again", "read_against_primary", "read_span", "reference_at"]

_DRIFT_BORNE = 0.5
"""Of the tolerance, from one reference to the next: on a line between them what is left of it is at most a seventh."""
_USUAL_TOLERANCE = 0.01
UNSEEN_DRIFT = 0.001
"""What the supply may drift from one reading to the next, standard uncertainty as a fraction of the volts (common
practice, no source)."""

Read = tuple[Estimate, Reading, Reading]
"""A span's volts over the primary's, its own reading and the reference."""


def read_span(
    context: Context, step: str, span: Span, feed: Excite, text: str, fed_volts: float | None = None
) -> Generator[Request, Any, Reading]:
    """Volts on one span while the primary is fed; the range is chosen from the design, the same for near values.

    fed_volts: on the primary, where something in series takes its part of the feed's.
    """
    expected = (fed_volts or feed.volts) * abs(span.turns / context.expectation.fed_span.turns)
    place = Connect(
        step,
        Quantity.VOLTAGE_AC,
        span.from_terminal,
        span.to_terminal,
        winding=span.winding,
        text=text,
        expected=expected,
    )
    yield from context.connect(place)
    yield from context.excite(feed)
    due = volts_due(context.expectation, place, expected, feed)
    reading = yield from context.take(step, Quantity.VOLTAGE_AC, expected * 1.05, 2, due)
    if reading.state is State.OVERLOAD:
        # More than is drawn, but never more than the highest on this unit: how much more tells which leads these are.
        reading = yield from context.take(step, Quantity.VOLTAGE_AC, feed.hazard * 1.05, samples=2)
    return reading


def read_against_primary(
    context: Context, kind: str, spans: list[Span], feed: Excite
) -> Generator[Request, Any, dict[str, Read]]:
    """For each span: its volts over the primary's, with both readings; a skipped span lacks.

    Reference, spans, reference: what the supply drifted between the two is taken out on a line, and half of it is kept
    as a component.  Where that is more than the row's tolerance bears, all is read once more with the reference between
    each two.  Raises Trouble when the primary itself can't be read, or when even that is too far apart.
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
    bears = _DRIFT_BORNE * _tolerance(context, kind)
    rows, skipped = yield from _row(context, kind, spans, feed, between_each=False)
    if rows and max(_drift(before, after) for _, before, after in rows.values()) > bears:
        again = [span for span in spans if span.name in rows]
        rows, missed = yield from _row(context, kind, again, feed, between_each=True)
        skipped |= missed
        worst = max((_drift(before, after) for _, before, after in rows.values()), default=0.0)
        if worst > bears:
            raise Trouble(
                f"{kind}: the supply moved by {worst * 100:.2g} % from one reference to the next, more than "
                f"{bears * 100:.2g} % that this row bears: wait for a quieter hour, or feed from a steadier source"
            )
    found = {}
    for name, (reading, before, after) in rows.items():
        if reading.state is State.GOOD:
            found[name] = (Estimate.of(reading) / reference_at(before, after, reading, kind), reading, before)
        else:
            raise Trouble(f"{kind}:{name}: the meter reads {reading.state} where volts are due")
    return found, skipped


def _row(
    context: Context, kind: str, spans: list[Span], feed: Excite, *, between_each: bool
) -> Generator[Request, Any, tuple[dict[str, tuple[Reading, Reading, Reading]], dict[str, str]]]:
    """Each span's reading with the references before and after it; for a skipped one, why."""
    fed = context.expectation.fed_span
    before = yield from _reference(context, kind, fed, feed)
    sitting = context.sitting
    rows: dict[str, tuple[Reading, Reading, Reading]] = {}
    waiting: dict[str, Reading] = {}
    skipped: dict[str, str] = {}
    for span in spans:
        try:
            reading = yield from read_span(context, f"{kind}:{span.name}", span, feed, f"Voltmeter on {span.name}.")
        except Skipped as reason:
            skipped[span.name] = str(reason)
            continue
        while context.sitting != sitting:
            # Fed anew since: what was read before has the reference before it, and this one needs one of its own.
            rows |= {name: (one, before, before) for name, one in waiting.items()}
            waiting.clear()
            read_in = context.sitting
            before = yield from _reference(context, kind, fed, feed)
            sitting = context.sitting
            if sitting != read_in:
                reading = yield from read_span(context, f"{kind}:{span.name}", span, feed, f"Voltmeter on {span.name}.")
        waiting[span.name] = reading
        if between_each:
            after = yield from _reference(context, kind, fed, feed)
            rows[span.name] = (waiting.pop(span.name), before, after if context.sitting == sitting else before)
            before, sitting = after, context.sitting
    if waiting:
        after = yield from _reference(context, kind, fed, feed)
        after = after if context.sitting == sitting else before
        rows |= {name: (reading, before, after) for name, reading in waiting.items()}
    return rows, skipped


def _drift(before: Reading, after: Reading) -> float:
    """By what fraction the supply surely moved: what the meter's last digit and noise may feign is none."""
    moved = Estimate.of(after) - Estimate.of(before)
    return max(0.0, abs(moved.value) - COVERAGE * moved.u) / abs(Estimate.of(before).value)


def _tolerance(context: Context, kind: str) -> float:
    """What the rows of this kind are judged by, as a fraction: the sharpest of them."""
    sharpest = {"open_circuit": "turns"}.get(kind, kind)
    return float(context.rules[sharpest]["tolerance"]) if sharpest in context.rules else _USUAL_TOLERANCE


def reference_at(before: Reading, after: Reading, reading: Reading, kind: str) -> Estimate:
    """The primary's volts at the moment of a reading, on the line between the two references."""
    first, last = Estimate.of(before), Estimate.of(after)
    length = after.monotonic - before.monotonic
    share = 0.5 if length <= 0 else min(1.0, max(0.0, (reading.monotonic - before.monotonic) / length))
    drift = abs(last.value - first.value) / 2 / 3**0.5
    if before is after:  # the test was broken off before the second was read
        drift = UNSEEN_DRIFT * first.value
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
