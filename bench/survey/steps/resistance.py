"""Resistance of every winding and section through the meter; then which winding may be fed."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import asdict
from typing import Any

from bench.acceptance.cautions import Hazard
from bench.acceptance.leads import Steps
from bench.acceptance.requests import Connect, Request, Skipped
from bench.estimate import Estimate
from bench.job.as_found import FoundWinding
from bench.survey.first_volts import first_volts
from bench.survey.interval import Interval
from bench.survey.reading_context import ReadingContext, SpanFound, spans_of, written
from bench.survey.step_up import step_ups, unlike_its_ohms
from drivers.reading import Quantity, Reading, State

MAINS = False
FEEDS = False
CAUTIONED = False
WHAT = "resistance"

_SECOND_LOOK = "Over range: put the clips on anew, on bare metal."
_LEAST = 1e-6  # ohm: a reading of less is that of the leads


def run(context: ReadingContext) -> Steps:
    """The leads first, both clips on one wire: what they show is taken off every reading."""
    zero: Estimate | None = None
    for winding in context.own:
        for span in spans_of(winding):
            try:
                if zero is None:
                    zero = yield from _zero(context, span)
                yield from _one(context, span, zero)
            except Skipped as reason:
                context.skip(f"resistance of {span.name}", reason)
    _choose(context)


def _quantity(context: ReadingContext) -> Quantity:
    four_wire = Quantity.RESISTANCE_4W in context.equipment.quantities
    return Quantity.RESISTANCE_4W if four_wire else Quantity.RESISTANCE


def _zero(context: ReadingContext, span: SpanFound) -> Generator[Request, Any, Estimate]:
    """What the leads and the meter's zero show; nothing where even that can't be read."""
    reading = yield from _read(
        context,
        "found:resistance:leads",
        SpanFound(span.name, span.winding, span.from_terminal, span.from_terminal),
        f"Ohmmeter: both clips on {span.from_terminal}, touching each other's jaws.",
    )
    return Estimate.of(reading) if reading.state is State.GOOD else Estimate(0.0)


def _one(context: ReadingContext, span: SpanFound, zero: Estimate) -> Steps:
    step = f"found:resistance:{span.name}"
    reading = yield from _read(context, step, span, f"Ohmmeter on {span.name}, clips on bare metal.")
    if reading.state is State.OVERLOAD:
        context.connected = None
        reading = yield from _read(context, step, span, _SECOND_LOOK)
    if reading.state is not State.GOOD:
        context.skip(f"resistance of {span.name}", f"the meter reads {reading.state}")
        if reading.state is State.OVERLOAD:
            context.ohms.pop(span.name, None)
            context.opened.add(span.name)
            yield from context.note("resistance as found: over range, open", winding=span.name)
        return
    # On the range that the leads were read on, the meter's offset leaves with them.
    ohms = Estimate.of(reading) - zero
    if ohms.value < _LEAST:
        context.skip(f"resistance of {span.name}", "it reads no more than the leads")
        return
    context.ohms[span.name] = ohms.value
    body = {
        "part": "resistance",
        "winding": span.name,
        "resistance": written(ohms, "ohm"),
        **({"temperature": context.temperature} if context.temperature else {}),
        "meter": reading.instrument,
        "components": [asdict(one) for one in ohms.components],
    }
    yield from context.keep(f"resistance of {span.name}", body)


def _read(context: ReadingContext, step: str, span: SpanFound, text: str) -> Generator[Request, Any, Reading]:
    quantity = _quantity(context)
    yield from context.connect(
        Connect(
            step,
            quantity,
            span.from_terminal,
            span.to_terminal,
            winding=span.winding,
            text=text,
            cautions=context.cautions.of(Hazard.KICK),
        )
    )
    return (yield from context.take(step, quantity, None))


# -- which winding is fed ----------------------------------------------------------------------------


def _choose(context: ReadingContext) -> None:
    """The winding to feed, and what each volt on it makes elsewhere; why not, where there is none."""
    context.fed = _fed(context)
    if context.fed is None:
        context.bars.append("no winding is known to be whole, and none is fed")
        return
    fed = context.fed.name
    ohms = {name: read for name, read in context.ohms.items() if "." not in name}
    context.step_ups = step_ups(fed, context.found.winding, ohms, context.job.core, context.rules)
    for name, one in context.step_ups.items():
        if one is None:
            context.bars.append(f"nothing tells how many volts {name} gives: no ohms, no plate and no count of it")
    unlike = unlike_its_ohms(fed, context.step_ups, ohms)
    if unlike:
        context.bars.append(unlike)


def _fed(context: ReadingContext) -> FoundWinding | None:
    """The one of the job file's curve, else the primary, else that of which the first volts are harmless."""
    whole = [one for one in context.own if not _is_open(context, one)]
    named = context.found.fed.partition(".")[0]
    primary = context.found.primary
    for name in (named, "" if primary is None else primary.name):
        wanted = next((one for one in whole if one.name == name), None)
        if wanted is not None:
            return wanted
    ohms = {one.name: context.ohms[one.name] for one in whole if one.name in context.ohms}
    counted = {one.name: Interval(one.turns, one.turns_within or 0.0) for one in whole if one.turns is not None}
    first = first_volts(ohms, context.job.core, context.hertz, context.rules, counted)
    best = first.winding if first is not None else max(ohms, key=lambda name: ohms[name], default="")
    return next((one for one in whole if one.name == best), None)


def _is_open(context: ReadingContext, winding: FoundWinding) -> bool:
    return any(span.name in context.opened for span in spans_of(winding))
