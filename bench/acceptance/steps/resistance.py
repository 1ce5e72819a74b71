"""Winding resistances, brought to 20 degC."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.demagnetising import left_in_the_core
from bench.acceptance.due import leads_due, ohms_due
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, judge, not_repeated, overload_result
from bench.acceptance.requests import Connect, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Quantity, State

ABOUT = About(
    words="resistance of every winding, brought to 20 °C",
    rules_out=("winding_open", "joint_poor", "wire_wrong", "strand_open", "leads_swapped"),
    guards=("conditions",),
    minutes=1.0,
)

_FOUR_WIRE_BELOW = 100.0
# Share of its ohms below which a primary is not fed; five times the tolerance away.
_FAR_TOO_FEW = 0.5
# Resistance of copper as a line through -234.5 degC (EN 61558-1 clause 14.2); temperatures in K.
_ZERO = 273.15 - 234.5
_TWENTY = 293.15


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(span), _label(span), required=True) for span in context.measured_spans()]


def run(context: Context) -> Steps:
    """The leads first, both clips on one wire: what they show is taken off every reading on that function."""
    zeros = context.lead_ohms
    for span in context.measured_spans():
        try:
            quantity = ohms_quantity(context, span)
            if quantity not in zeros:
                zeros[quantity] = yield from _zero(context, span, quantity)
            yield from _one(context, span, zeros[quantity])
        except Skipped as reason:
            context.skip(_id(span), str(reason))


def ohms_quantity(context: Context, span: Span) -> Quantity:
    """Which function of the meter reads a winding's ohms: four-wire where that helps and there is one."""
    four_wire = Quantity.RESISTANCE_4W in context.equipment.quantities
    small = span.resistance is None or span.resistance < _FOUR_WIRE_BELOW
    return Quantity.RESISTANCE_4W if four_wire and small else Quantity.RESISTANCE


def _zero(context: Context, span: Span, quantity: Quantity) -> Generator[Request, Any, Estimate]:
    """What the leads and the meter's zero show on this function; nothing where even that can't be read."""
    least = min((s.resistance for s in context.measured_spans() if s.resistance), default=1.0)
    yield from context.connect(
        Connect(
            "resistance:leads",
            quantity,
            span.from_terminal,
            span.from_terminal,
            winding=span.winding,
            text=f"Ohmmeter: both clips on {span.from_terminal}, touching each other's jaws.",
            cautions=context.cautions.of(Hazard.KICK),
            expected=least,
        )
    )
    reading = yield from context.take("resistance:leads", quantity, least, due=leads_due())
    zero = Estimate.of(reading) if reading.state is State.GOOD else Estimate(0.0)
    return zero


def _one(context: Context, span: Span, zero: Estimate) -> Steps:
    first = yield from _read(context, span, zero, "")
    result = first
    if first.verdict is Verdict.REJECTED:
        context.connected = None
        try:
            result = yield from _read(context, span, zero, SECOND_LOOK)
        except Skipped as reason:
            result = not_repeated(first, str(reason))
        if not agree(first, result):
            result = at_fault(
                result, f"read twice, told {_text(first)} and {_text(result)}: leads or contact, not the unit"
            )
    if result.verdict is Verdict.REJECTED and result.measured is None:
        context.gates.append(f"{span.name} is open")
        if span.winding == context.expectation.fed:
            context.feed_doubt = context.gates[-1]
    fed = span.winding == context.expectation.fed
    if fed and result.measured is not None and span.resistance and result.measured < _FAR_TOO_FEW * span.resistance:
        # Volts that are low on the primary are hundreds on the rest when they go into another winding.
        context.feed_doubt = (
            f"{span.name} has {_text(result)} where {span.resistance:.4g} ohm are due: "
            "shorted, or the leads of another winding"
        )
        context.gates.append(context.feed_doubt)
    if result.verdict is Verdict.NOT_DONE or "continuity only" in result.note:
        # What can't be judged for want of a design is not done; what no meter of this kind can judge is told.
        context.skip(f"{result.id}:value", result.note, required=result.verdict is Verdict.NOT_DONE)
    yield StepDone(result)


def _read(context: Context, span: Span, zero: Estimate, text: str) -> Generator[Request, Any, StepResult]:
    expected = span.resistance
    quantity = ohms_quantity(context, span)
    left = left_in_the_core(context, span)
    context.magnetised = context.magnetised or left
    yield from context.connect(
        Connect(
            _id(span),
            quantity,
            span.from_terminal,
            span.to_terminal,
            winding=span.winding,
            text=text or f"Ohmmeter on {span.name}, clips on bare metal.",
            cautions=(*context.cautions.of(Hazard.KICK), *((left,) if left else ())),
            expected=expected,
        )
    )
    due = ohms_due(context.expectation, span)
    reading = yield from context.take(_id(span), quantity, None if expected is None else expected * 1.2, due=due)
    if reading.state is State.OVERLOAD and expected is not None:
        # More than was drawn is not yet open: the meter goes up by itself until the reading fits.
        reading = yield from context.take(_id(span), quantity, None)
    basis = context.rules["resistance"]["basis"]
    if reading.state is not State.GOOD:
        return overload_result(
            _id(span),
            _label(span),
            "resistance",
            span.name,
            "ohm",
            reading,
            expected=expected,
            basis="a winding conducts",
            note="open: no current passes",
        )
    # On the range that the leads were read on, the meter's offset leaves with them.
    warm = Estimate.of(reading) - zero
    factor = (_TWENTY - _ZERO) / (context.temperature - _ZERO)
    cold = warm * factor
    cold = cold.also("temperature", -cold.value * context.u_temperature / (context.temperature - _ZERO))
    if expected is None:
        return StepResult(
            _id(span),
            _label(span),
            "resistance",
            span.name,
            cold.value,
            State.GOOD,
            "ohm",
            Verdict.NOT_DONE,
            u=cold.u,
            components=cold.components,
            raw=(reading.raw,),
            note=f"recorded, not judged: the job does not say winding.{span.winding}.wire",
        )
    rules = context.rules["resistance"]
    fine = span.wire_diameter is not None and span.wire_diameter < rules["fine_wire_below_mm"] * 1e-3
    tolerance = rules["fine_wire_tolerance"] if fine else rules["tolerance"]
    if COVERAGE * cold.u >= tolerance * expected:
        # No meter of this kind can judge so few ohms: what it can tell is that the winding is not open.
        top = max(10 * expected, expected + 3 * COVERAGE * cold.u)
        result = judge(
            _id(span),
            _label(span),
            "resistance",
            span.name,
            "ohm",
            cold,
            lower=None,
            upper=top,
            basis="continuity: the meter can't judge so few ohms",
            expected=expected,
            readings=(reading,),
        )
        note = (
            f"continuity only: U = {COVERAGE * cold.u:.2g} ohm is no match for {expected:.2g} ohm; a poor joint is not "
            "excluded"
        )
        return replace(result, note=note)
    return judge(
        _id(span),
        _label(span),
        "resistance",
        span.name,
        "ohm",
        cold,
        lower=expected * (1 - tolerance),
        upper=expected * (1 + tolerance),
        basis=basis,
        expected=expected,
        readings=(reading,),
    )


def _id(span: Span) -> str:
    return f"resistance:{span.name}"


def _label(span: Span) -> str:
    return f"resistance of {span.name} at 20 °C"


def _text(result: StepResult) -> str:
    return "open" if result.measured is None else f"{result.measured:.4g} ohm"
