"""First power, through the limiter: a healthy unit takes nearly all the volts."""

from __future__ import annotations

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.demagnetising import DEMAGNETISE
from bench.acceptance.judging import judge, unreadable_result
from bench.acceptance.requests import Confirm, Skipped, StepDone
from bench.acceptance.steps.spans_by_volts import read_span
from bench.estimate import Estimate
from drivers.reading import State

ABOUT = About(
    words="first power, through the limiter",
    mains=True,
    feeds=True,
    cautioned=True,
    rules_out=("turns_shorted", "screen_closed", "winding_reversed"),
    guards=("conditions", "resistance", "insulation", "low_volts", "polarity", "earthed"),
    minutes=4.0,
)

_STEP = "first_power"
_LABEL = "volts on the primary behind the limiter"

# Share of the volts below which even a dead short's own resistance would show more.
_NO_VOLTS = 1e-3


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_STEP, _LABEL, required=True)]


def run(context: Context) -> Steps:
    """A tenth, half, then all of the volts; the share that reaches the winding is judged at the last."""
    fed = context.expectation.fed_span
    nominal = context.expectation.voltage
    rules = context.rules[_STEP]
    yield Confirm(
        _STEP,
        "Core, band and screen earthed, every secondary end covered, "
        f"{context.equipment.limiter.words} in the live side.",
        context.cautions.of(Hazard.MAINS, Hazard.HIGH_VOLTS),
    )
    readings = []
    try:
        for share in (0.1, 0.5, 1.0):
            feed = context.feed(_STEP, share * nominal, "variac", limiter=True)
            readings.append((yield from read_span(context, _STEP, fed, feed, f"Voltmeter on {fed.name}.")))
            if readings[-1].state is State.GOOD and (readings[-1].value or 0.0) < 0.5 * feed.volts:
                break  # more volts would only heat what is shorted
    except Skipped as reason:
        context.skip(_STEP, str(reason))
        context.gates.append("first power through the limiter was not done")
        yield from context.switch_off(_STEP)
        return
    yield from context.switch_off(_STEP, DEMAGNETISE if context.magnetised else "")
    last = readings[-1]
    if last.state is not State.GOOD or last.value is None or last.value < _NO_VOLTS * feed.volts:
        note = "no volts were read behind the limiter: supply, fuse, lamp, leads or range"
        result = unreadable_result(_STEP, _LABEL, "fraction", fed.name, "1", last, basis=rules["basis"], note=note)
        context.gates.append(note)
    else:
        asked = feed.volts
        # The variac's own scale tells the volts before the limiter: +-3 % (common practice, no source).
        share_found = (Estimate.of(last) / asked).also("variac scale", 0.03 / 3**0.5)
        lower, expected = _limits(context, asked)
        result = judge(
            _STEP,
            _LABEL,
            "fraction",
            fed.name,
            "1",
            share_found,
            lower=lower,
            upper=None,
            basis=rules["basis"],
            expected=expected,
            readings=tuple(readings),
            at_volts=last.value,
        )
    if result.verdict is Verdict.REJECTED:
        context.gates.append("the unit holds the volts down behind the limiter: short or shorted turn")
    yield StepDone(result)


def _limits(context: Context, supply: float) -> tuple[float, float]:
    """Least share, and the share of the design itself.

    A core that is known to take much more than a lamp passes easily is not to be called shorted for that: what a good
    unit of the upper 95 % keeps, less a tenth, is the limit where it lies below the usual one.
    """
    usual = float(context.rules[_STEP]["minimum_fraction"])
    curve = context.expectation.curve
    if curve is None:
        return usual, 1.0
    limiter = context.equipment.limiter
    return min(usual, 0.9 * limiter.share_left(curve, supply, COVERAGE)), limiter.share_left(curve, supply, 0.0)
