"""Volts of every winding against the fed one's, each pair kept as soon as it is read."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import asdict
from typing import Any

from bench.acceptance.requests import Connect, Excite, Request, Skipped, Trouble
from bench.acceptance.steps.spans_by_volts import reference_at
from bench.estimate import Estimate
from bench.survey.reading_context import ReadingContext, SpanFound, spans_of, written
from drivers.reading import Quantity, Reading, State

__all__ = ["holds_down", "read_pairs", "read_volts"]

_U_DRIFT = 0.003
"""Of the fed volts in the minutes between two readings, standard (common practice, no source), until the reading that
closes the round tells."""
_NOTHING = 10.0
"""Times its standard uncertainty below which volts are hum on open leads."""
_DEAD_SUPPLY = 0.02
_RANGE = 1.05
"""Over the volts that are due, for the scale of a variac."""


def read_pairs(
    context: ReadingContext, step: str, feed: Excite, first: str = ""
) -> Generator[Request, Any, dict[str, float]]:
    """Ratio to the fed winding's volts of each span that was read; a line in `mains_bars` for each that can't be.

    Reference, spans, reference: the drift between the two is taken out on a line, and half of it is kept as doubt.
    first: to be done before the first reading, in words.  Raises Trouble where the volts do not come.
    """
    fed = context.fed_span
    spans = [one for winding in context.found.winding for one in spans_of(winding) if one.name != fed.name]
    before = yield from _reference(context, step, feed, first)
    if before is None:
        return {}
    readings: dict[str, Reading] = {}
    for span in spans:
        if span.name in context.opened:
            context.skip(f"volts of {span.name}", "it is open")
            continue
        try:
            reading = yield from read_volts(context, f"{step}:{span.name}", span, feed, f"Voltmeter on {span.name}.")
        except Skipped as reason:
            context.skip(f"volts of {span.name}", reason)
            continue
        if reading.state is not State.GOOD or reading.value is None:
            raise Trouble(f"{step}:{span.name}: the meter reads {reading.state} where volts are due")
        drift = Estimate.of(before).also(f"{step}:drift", _U_DRIFT * (before.value or 0.0))
        if (yield from _fits(context, span, reading, drift)):
            readings[span.name] = reading
            yield from _keep(context, span, reading, drift)
    after = yield from _reference(context, step, feed)
    if after is None:
        return {}
    found = {}
    for span in spans:
        if span.name in readings:
            reading = readings[span.name]
            reference = reference_at(before, after, reading, step)
            yield from _keep(context, span, reading, reference)
            found[span.name] = (reading.value or 0.0) / reference.value
    return found


def read_volts(
    context: ReadingContext, step: str, span: SpanFound, feed: Excite, text: str, highest: float | None = None
) -> Generator[Request, Any, Reading]:
    """Volts on one span; its range is known where its ratio is, else the meter comes down from its largest.

    highest [V]: on the fed winding, of all the volts that are read one after another with the leads where they are.
    """
    share = 1.0 if span.name == context.fed_span.name else context.ratios.get(span.name)
    expected = None if share is None else feed.volts * share * _RANGE
    yield from context.connect(
        Connect(
            step,
            Quantity.VOLTAGE_AC,
            span.from_terminal,
            span.to_terminal,
            winding=span.winding,
            text=text,
            expected=None if share is None else (highest or feed.volts) * share * _RANGE,
        )
    )
    yield from context.excite(feed)
    reading = yield from context.take(step, Quantity.VOLTAGE_AC, expected, samples=2)
    if reading.state is State.OVERLOAD and expected is not None:
        reading = yield from context.take(step, Quantity.VOLTAGE_AC, None, samples=2)
    return reading


def holds_down(context: ReadingContext, feed: Excite, reading: Reading, least: float) -> str:
    """Why the fed winding is not fed further: it takes less than `least` of what is set; nothing where it does.

    Raises Trouble where next to nothing comes: that is the supply or the leads, and says nothing of the winding.
    """
    if reading.state is not State.GOOD or reading.value is None or reading.value < _DEAD_SUPPLY * feed.volts:
        told = str(reading.state) if reading.value is None else f"{reading.value:.3g} V"
        raise Trouble(
            f"{feed.step}: {feed.volts:.3g} V were asked for and the meter reads {told}: supply, fuse, lamp, leads?"
        )
    share = reading.value / feed.volts
    if share >= least:
        return ""
    what = "behind the limiter " if feed.limiter else ""
    return (
        f"{feed.winding} holds {what}{share * 100:.0f} % of {feed.volts:.3g} V: shorted turns, or not the winding that "
        "it is taken for"
    )


def _reference(
    context: ReadingContext, step: str, feed: Excite, first: str = ""
) -> Generator[Request, Any, Reading | None]:
    """The fed winding's own volts; None where it holds them down, which bars mains."""
    fed = context.fed_span
    text = f"{first}Voltmeter on {fed.name}, the winding that is fed."
    reading = yield from read_volts(context, f"{step}:{fed.name}", fed, feed, text)
    bar = holds_down(context, feed, reading, float(context.rules["reading"]["shorted"]))
    if bar:
        context.mains_bars.append(bar)
        yield from context.note(bar, winding=fed.name)
        return None
    return reading


def _fits(
    context: ReadingContext, span: SpanFound, reading: Reading, reference: Estimate
) -> Generator[Request, Any, bool]:
    """Whether a ratio may be what it is taken for; where not, it is a note and bars mains."""
    assert reading.value is not None
    ratio, why = reading.value / reference.value, ""
    one = context.step_ups.get(span.name)
    factor = float(context.rules["reading"]["ratio_factor"])
    if one is not None and one.expected is not None and not 1 / factor < ratio / one.expected < factor:
        why = (
            f"{span.name} gives {ratio:.3g} V for each volt on {context.fed_span.name}, where {one.basis} say "
            f"{one.expected:.3g}: one of the two is not the winding that it is taken for, or is open or shorted"
        )
    elif reading.value < _NOTHING * reading.standard_uncertainty:
        why = f"{span.name} gives next to nothing: open, shorted, or leads elsewhere"
    if not why:
        return True
    context.skip(f"volts of {span.name}", why)
    context.mains_bars.append(why)
    yield from context.note(why, winding=span.name)
    return False


def _keep(
    context: ReadingContext, span: SpanFound, reading: Reading, reference: Estimate
) -> Generator[Request, Any, None]:
    volts = Estimate.of(reading)
    body = {
        "part": "volts",
        "fed": context.fed_span.name,
        "fed_voltage": written(reference, "V"),
        "winding": span.name,
        "voltage": written(volts, "V"),
        "frequency": f"{context.hertz:g} Hz",
        "meter": reading.instrument,
        "components": [asdict(one) for one in volts.components],
        "fed_components": [asdict(one) for one in reference.components],
    }
    yield from context.keep(f"volts of {span.name}", body)
