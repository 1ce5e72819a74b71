"""Turns by ratio at a few volts, and the frequency of the supply before it is trusted with mains."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, judge, not_repeated
from bench.acceptance.requests import Connect, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_again, read_against_primary
from bench.estimate import Estimate
from bench.job.expectation import Span
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="turns by ratio at a few volts, and the frequency of the supply",
    feeds=True,
    rules_out=("turns_wrong", "tap_misplaced", "leads_swapped", "supply_wrong"),
    guards=("conditions", "resistance"),
    minutes=2.0,
)


def plan(context: Context) -> list[PlannedStep]:
    steps = [PlannedStep("frequency", "frequency of the supply", required=False)]
    return steps + [PlannedStep(_id(s), _label(s), required=True) for s in context.secondary_spans()]


def run(context: Context) -> Steps:
    """Frequency, then each winding against the primary; what is far off is read a second time."""
    feed = context.feed("ratio", context.low_feed_volts(), "low voltage")
    yield from _frequency(context, feed.volts)
    spans = context.secondary_spans()
    first = yield from read_against_primary(context, "ratio", spans, feed)
    results = {name: _judge(context, context.expectation.spans[name], *read) for name, read in first.items()}
    doubtful = [context.expectation.spans[n] for n, r in results.items() if r.verdict is Verdict.REJECTED]
    if doubtful:
        context.connected = None
        again = yield from read_again(context, "ratio", doubtful, feed, SECOND_LOOK)
        for name, read in again.items():
            if isinstance(read, str):
                results[name] = not_repeated(results[name], read)
                continue
            second = _judge(context, context.expectation.spans[name], *read)
            results[name] = (
                second
                if agree(results[name], second)
                else at_fault(second, f"read twice, told {results[name].measured:.4g} and {second.measured:.4g} turns")
            )
    yield from context.switch_off("ratio")
    for name, result in results.items():
        if result.measured is not None and result.verdict is not Verdict.TROUBLE:
            context.ratios[name] = result.measured / abs(context.expectation.fed_span.turns)
            _gate(context, result)
        yield StepDone(result)


def _frequency(context: Context, volts: float) -> Steps:
    rules = context.rules["frequency"]
    nominal = context.expectation.frequency
    fed = context.expectation.fed_span
    if Quantity.FREQUENCY not in context.equipment.quantities:
        context.skip("frequency", "this meter does not read hertz: a wrong frequency is not excluded", required=False)
        return
    feed = context.feed("frequency", volts, "low voltage")
    try:
        yield from context.connect(
            Connect(
                "frequency",
                Quantity.FREQUENCY,
                fed.from_terminal,
                fed.to_terminal,
                winding=fed.winding,
                text="Meter on the winding that is fed, set to hertz.",
                expected=nominal,
            )
        )
        yield from context.excite(feed)
        reading = yield from context.take("frequency", Quantity.FREQUENCY, nominal)
    except Skipped as reason:
        context.skip("frequency", str(reason), required=False)
        return
    if reading.state is not State.GOOD:
        context.skip("frequency", f"the meter reads {reading.state}", required=False)
        return
    result = judge(
        "frequency",
        "frequency of the supply",
        "frequency",
        "",
        "Hz",
        Estimate.of(reading),
        lower=nominal * (1 - rules["tolerance"]),
        upper=nominal * (1 + rules["tolerance"]),
        basis=rules["basis"],
        expected=nominal,
        readings=(reading,),
    )
    if result.verdict is Verdict.REJECTED:
        result = at_fault(result, f"the supply runs at {reading.value:.4g} Hz, the job is for {nominal:.4g} Hz")
        context.gates.append(result.note)
    yield StepDone(result)


def _judge(context: Context, span: Span, ratio: Estimate, reading: Reading, reference: Reading) -> StepResult:
    expectation = context.expectation
    fed_turns = abs(expectation.fed_span.turns)
    drop = expectation.drop(reference.value or 0.0)
    turns = ratio * (fed_turns / (1 - drop))
    turns = turns.also("drop in the primary", turns.value * drop * expectation.u_log_drop)
    leakage = expectation.leakage(reference.value or 0.0)
    turns = turns.also("leakage of the primary", turns.value * leakage / 3**0.5)
    rules = context.rules["ratio"]
    design = abs(span.turns)
    tolerance = max(rules["tolerance"] * design, rules["turns"])
    return judge(
        _id(span),
        _label(span),
        "turns_by_ratio",
        span.name,
        "turns",
        turns,
        lower=design - tolerance,
        upper=design + tolerance,
        basis=rules["basis"],
        expected=design,
        readings=(reading, reference),
        at_volts=reference.value,
    )


def _gate(context: Context, result: StepResult) -> None:
    """A winding that gives far fewer turns than drawn must not meet mains, unless the series sum says otherwise."""
    assert result.measured is not None
    assert result.expected is not None
    if result.verdict is Verdict.REJECTED and result.measured < 0.5 * result.expected:
        context.doubted_gates[result.winding] = (
            f"{result.winding} gives {result.measured:.3g} turns of {result.expected:.4g}: "
            "open, shorted, or its halves opposed"
        )


def _id(span: Span) -> str:
    return f"ratio:{span.name}"


def _label(span: Span) -> str:
    return f"turns of {span.name} by ratio"
