"""Start and finish of each winding by the series sum, at a few volts only."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.due import linked_due
from bench.acceptance.judging import at_fault, judge
from bench.acceptance.one_sitting import both_in_one_sitting
from bench.acceptance.requests import Connect, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.second_look import looked_at_twice
from bench.acceptance.steps.spans_by_volts import UNSEEN_DRIFT, read_span
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="start and finish of every winding by the series sum, at a few volts",
    feeds=True,
    rules_out=("winding_reversed",),
    guards=("conditions", "low_volts"),
    minutes_each=1.5,
)


# How far from +1 and -1 a sign may lie besides its doubt.
_NO_SIGN = 0.3
# Share of both windings' volts within which a series sum agrees with a ratio, and from which two ratios are told apart.
_TOLD, _FAR = 0.02, 0.04
# Share of its sections' volts under which a whole winding has a section that opposes the others.
_ADD_UP = 0.8


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(s), _label(s), required=True) for s in _spans(context)]


def run(context: Context) -> Steps:
    """One winding after the other in series with the primary, finish to finish; the link is taken off at the end.

    The series sum sees the winding's volts a second way: where the ratio was far off and the sum agrees with the
    design, the ratio was read wrongly; where not, the winding is barred from mains.
    """
    for span in _spans(context):
        if span.name not in context.ratios:
            context.skip(_id(span), "its volts could not be read")
            continue
        for part in (span, *_opposing(context, span)):
            try:
                yield from _one(context, part)
            except Skipped as reason:
                context.skip(_id(part), str(reason))
    for name, why in context.doubted_gates.items():
        if name.partition(".")[0] not in context.contradicted:
            context.gates.append(why)
    yield from context.switch_off("polarity")
    yield from context.link_off("polarity", "The link between the primary and the other windings is off the bench.")


def _one(context: Context, span: Span) -> Steps:
    result = yield from looked_at_twice(
        context, lambda text: _read(context, span, text), "opposite polarities: look at the link"
    )
    if result.verdict is Verdict.REJECTED:
        context.gates.append(f"{span.name} is reversed")
    yield StepDone(result)


def _read(context: Context, span: Span, text: str) -> Generator[Request, Any, StepResult]:
    """s = (V1^2 + V2^2 - V^2) / (2 V1 V2) with finishes joined and V between the starts: +1 in phase, -1 reversed."""
    fed = context.expectation.fed_span
    step = _id(span)
    feed = context.feed(step, context.low_feed_volts(span.winding), "low voltage", linked=span.winding)
    linked = Connect(
        step,
        Quantity.VOLTAGE_AC,
        fed.from_terminal,
        span.from_terminal,
        winding=span.winding,
        links=((fed.to_terminal, span.to_terminal),),
        text=text or f"Join {fed.to_terminal} and {span.to_terminal}; voltmeter between the two starts.",
        expected=feed.volts,
    )

    def in_series() -> Generator[Request, Any, Reading]:
        context.link_on("polarity")
        yield from context.connect(linked)
        yield from context.excite(feed)
        largest = feed.volts * (1 + abs(context.expectation.ratio(span.name)))
        return (yield from context.take(step, Quantity.VOLTAGE_AC, largest, due=linked_due(largest)))

    reference, reading = yield from both_in_one_sitting(
        context, lambda: read_span(context, step, fed, feed, f"Voltmeter on {fed.name}."), in_series
    )
    if reading.state is not State.GOOD or reference.state is not State.GOOD:
        raise Skipped(f"the meter reads {reading.state}")
    first, series = Estimate.of(reference), Estimate.of(reading)
    ratio, design = context.ratios[span.name], abs(context.expectation.ratio(span.name))
    seen = series.value / first.value
    far = abs(ratio - design) > _FAR * (1 + design)
    if far and not _told_by(seen, ratio) and _told_by(seen, design):
        context.contradicted[span.winding] = (
            f"the series sum agrees with the design's {abs(span.turns):g} turns and not with the ratio: leads on other "
            "terminals when the ratio was read"
        )
        ratio = design
    if ratio < 0.1 * design:
        raise Skipped("the winding gives too few volts to tell")
    series = series.also(f"{step}:drift", UNSEEN_DRIFT * first.value)
    second = first * ratio
    sign = (first * first + second * second - series * series) / (2.0 * (first * second))
    drawn = 1.0 if context.expectation.ratio(span.name) > 0 else -1.0
    sign = drawn * sign
    result = judge(
        step,
        _label(span),
        "polarity",
        span.name,
        "1",
        sign,
        lower=0.0,
        upper=None,
        basis=context.rules["polarity"]["basis"],
        expected=1.0,
        readings=(reading, reference),
        at_volts=reference.value,
        note="" if sign.value > 0 else "start and finish exchanged",
    )
    if abs(abs(sign.value) - 1) > _NO_SIGN + 3 * sign.u:
        return at_fault(
            result, "neither the sum nor the difference of the two volts: is the link on, the leads on the starts?"
        )
    return result


def _told_by(seen: float, ratio: float) -> bool:
    """Whether a series sum, over the primary's volts, is the sum or the difference that a ratio would give."""
    return min(abs(seen - abs(1 - ratio)), abs(seen - (1 + ratio))) < _TOLD * (1 + ratio)


def _spans(context: Context) -> list[Span]:
    return [span for span in context.secondary_spans() if span.whole]


def _opposing(context: Context, whole: Span) -> list[Span]:
    """Sections of a winding whose volts do not add up to those of the whole: one at least runs the other way."""
    parts = [one for one in context.expectation.spans.values() if one.winding == whole.winding and not one.whole]
    if not parts or any(one.name not in context.ratios for one in parts):
        return []
    together = sum(context.ratios[one.name] for one in parts)
    return parts if context.ratios[whole.name] < _ADD_UP * together else []


def _id(span: Span) -> str:
    return f"polarity:{span.name}"


def _label(span: Span) -> str:
    return f"polarity of {span.name}"
