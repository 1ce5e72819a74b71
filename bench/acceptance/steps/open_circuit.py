"""Open-circuit volts of every winding at exactly nominal supply."""

from __future__ import annotations

from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.estimate import Estimate
from bench.acceptance.judging import SECOND_LOOK, agree, at_fault, judge
from bench.acceptance.requests import Connect, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_against_primary
from bench.job.expectation import Span
from drivers.reading import Quantity, Reading

MAINS = True
CAUTIONED = False


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(span), _label(span), required=True) for span in context.secondary_spans()]


def run(context: Context) -> Steps:
    """Volts of each winding, brought to nominal supply by the reference; what is far off is read a second time."""
    fed = context.expectation.fed_span
    feed = context.feed("open_circuit", context.expectation.voltage, "variac")
    first = yield from read_against_primary(context, "open_circuit", context.secondary_spans(), feed)
    results = {name: _judge(context, context.expectation.spans[name], *read) for name, read in first.items()}
    doubtful = [context.expectation.spans[n] for n, r in results.items() if r.verdict is Verdict.REJECTED]
    if doubtful:
        yield from context.connect(
            Connect(
                "open_circuit",
                Quantity.VOLTAGE_AC,
                fed.from_terminal,
                fed.to_terminal,
                winding=fed.winding,
                text=SECOND_LOOK,
            )
        )
        again = yield from read_against_primary(context, "open_circuit", doubtful, feed)
        for name, read in again.items():
            second = _judge(context, context.expectation.spans[name], *read)
            results[name] = (
                second
                if agree(results[name], second)
                else at_fault(second, f"read twice, told {results[name].measured:.4g} and {second.measured:.4g} V")
            )
    yield from context.switch_off("open_circuit")
    for result in results.values():
        yield StepDone(result)


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


def _id(span: Span) -> str:
    return f"open_circuit:{span.name}"


def _label(span: Span) -> str:
    return f"open-circuit volts of {span.name}"
