"""Open-circuit volts of every winding at exactly nominal supply."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, judge, not_repeated
from bench.acceptance.requests import StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_again, read_against_primary
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Reading

HAND_HELD_VOLTS = 600.0
"""The most that a meter is taken to bear whose ranges are not known: the usual rating of a hand-held one (memory)."""

ABOUT = About(
    words="open-circuit volts and turns of every winding at nominal supply",
    mains=True,
    feeds=True,
    rules_out=("turns_wrong", "tap_misplaced", "leads_swapped"),
    guards=("conditions", "insulation", "first_power"),
    minutes=3.0,
)


def plan(context: Context) -> list[PlannedStep]:
    spans = context.secondary_spans()
    volts = [PlannedStep(_id(span), _label(span), required=True) for span in spans]
    return volts + [PlannedStep(_turns_id(span), _turns_label(span), required=True) for span in spans]


def run(context: Context) -> Steps:
    """Volts of each winding, brought to nominal supply by the reference, and the turns that the same readings tell.

    What is far off is read a second time.
    """
    feed = context.feed("open_circuit", context.expectation.voltage, "variac")
    spans = [span for span in context.secondary_spans() if _within_the_meter(context, span)]
    first = yield from read_against_primary(context, "open_circuit", spans, feed)
    for span in context.secondary_spans():
        if span.name not in first:
            context.skip(_turns_id(span), f"the volts of {span.name} were not read")
    spans_by_name = context.expectation.spans
    results = {name: _judge(context, spans_by_name[name], *read) for name, read in first.items()}
    turns = {name: _judge_turns(context, spans_by_name[name], *read) for name, read in first.items()}
    doubtful = [spans_by_name[n] for n in results if Verdict.REJECTED in (results[n].verdict, turns[n].verdict)]
    if doubtful:
        again = yield from read_again(context, "open_circuit", doubtful, feed, SECOND_LOOK)
        for name, read in again.items():
            if isinstance(read, str):
                results[name] = not_repeated(results[name], read)
                continue
            second = _judge(context, spans_by_name[name], *read)
            turns[name] = _judge_turns(context, spans_by_name[name], *read)
            results[name] = (
                second
                if agree(results[name], second)
                else at_fault(second, f"read twice, told {results[name].measured:.4g} and {second.measured:.4g} V")
            )
    yield from context.switch_off("open_circuit")
    for name, result in results.items():
        yield StepDone(result)
        if result.verdict is Verdict.TROUBLE:
            turns[name] = at_fault(turns[name], result.note)
    for result in turns.values():
        yield StepDone(result)


def _within_the_meter(context: Context, span: Span) -> bool:
    """Whether a voltmeter may be put on this winding at nominal; kept as not done where not."""
    why = beyond_the_meter(context, span)
    if why:
        context.skip(_id(span), why)
    return not why


def beyond_the_meter(context: Context, span: Span) -> str:
    """Why no voltmeter of this bench may be put on a winding at nominal; empty where one may."""
    most = max(HAND_HELD_VOLTS, *context.equipment.volt_spans, 0.0)
    volts = context.expectation.voltage * abs(context.expectation.ratio(span.name))
    if volts * 1.05 <= most:
        return ""
    return f"{volts:.0f} V are more than this meter bears ({most:g} V): never put it there"


def _judge(context: Context, span: Span, ratio: Estimate, reading: Reading, reference: Reading) -> StepResult:
    expectation = context.expectation
    rules = context.rules["open_circuit"]
    nominal = expectation.voltage
    volts = ratio * nominal
    expected = nominal * abs(expectation.ratio(span.name)) * (1 - expectation.drop(nominal))
    tolerance, basis = max(rules["tolerance"], rules["turns"] / abs(span.turns)), rules["basis"]
    known = next((e for e in context.job.expected if e.winding == span.name), None)
    if known is not None:
        expected, tolerance = known.open_circuit_voltage, abs(known.tolerance)
        basis = f"job file: {known.source or 'expected reading'}"
    return judge(
        _id(span),
        _label(span),
        "voltage_ac",
        span.name,
        "V",
        volts,
        lower=expected * (1 - tolerance),
        upper=expected * (1 + tolerance),
        basis=basis,
        expected=expected,
        readings=(reading, reference),
        at_volts=reference.value,
    )


def _judge_turns(context: Context, span: Span, ratio: Estimate, reading: Reading, reference: Reading) -> StepResult:
    expectation = context.expectation
    volts = reference.value or expectation.voltage
    drop = expectation.drop(volts)
    turns = ratio * (abs(expectation.fed_span.turns) / (1 - drop))
    u_log_watts = 0.5 if expectation.curve is None else expectation.curve.u_log_watts_at(volts)
    turns = turns.also("drop in the primary", turns.value * drop * u_log_watts)
    turns = turns.also("leakage of the primary", turns.value * expectation.leakage(volts) / 3**0.5)
    rules = context.rules["turns"]
    design = abs(span.turns)
    tolerance = max(rules["tolerance"] * design, rules["turns"])
    return judge(
        _turns_id(span), _turns_label(span), "turns_by_ratio", span.name, "turns", turns,
        lower=design - tolerance, upper=design + tolerance, basis=rules["basis"], expected=design,
        readings=(reading, reference), at_volts=reference.value,
    )  # fmt: skip


def _turns_id(span: Span) -> str:
    return f"turns:{span.name}"


def _turns_label(span: Span) -> str:
    return f"turns of {span.name} at nominal"


def _id(span: Span) -> str:
    return f"open_circuit:{span.name}"


def _label(span: Span) -> str:
    return f"open-circuit volts of {span.name}"
