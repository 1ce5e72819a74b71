"""The exciting current against volts, to 110 %: volts on one pass, amps on the next, so that leads move twice."""

from __future__ import annotations

import itertools
import math

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE
from bench.acceptance.demagnetising import DEMAGNETISE
from bench.acceptance.judging import judge, overload_result, unless_next_to_nothing, unreadable_result
from bench.acceptance.requests import Connect, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.steps.spans_by_volts import read_span
from bench.estimate import Estimate
from bench.job.expectation import ExcitingCurve
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="exciting current against volts, to 110 %",
    mains=True,
    feeds=True,
    rules_out=("core_gap", "core_stack_short", "turns_wrong"),
    guards=("conditions", "insulation", "first_power"),
    minutes=4.0,
    minutes_each=1.0,
)

# How well a variac set twice to the same mark gives the same volts, standard uncertainty; common practice, no source.
_U_REPEAT = 0.003


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(share), _label(share), required=True) for share in context.rules["exciting"]["points"]]


def run(context: Context) -> Steps:
    curve = context.expectation.curve
    points: list[float] = context.rules["exciting"]["points"]
    if curve is None:
        for share in points:
            context.skip(_id(share), f"the job does not say {context.why_no_curve}")
        return
    if Quantity.CURRENT_AC not in context.equipment.quantities:
        for share in points:
            context.skip(_id(share), "this meter does not read alternating current")
        return
    fed = context.expectation.fed_span
    nominal = context.expectation.voltage
    volts: dict[float, Reading] = {}
    amps: dict[float, Reading] = {}
    try:
        for share in points:
            feed = context.feed(_id(share), share * nominal, "variac")
            volts[share] = yield from read_span(context, _id(share), fed, feed, f"Voltmeter on {fed.name}.")
        yield from context.switch_off(_id(points[0]))
        ammeter = Connect(
            "exciting",
            Quantity.CURRENT_AC,
            "supply.live",
            fed.from_terminal,
            winding=fed.winding,
            text=f"Ammeter in place of the wire from the supply to {fed.from_terminal}.",
            expected=curve.current_at(max(points) * nominal),
        )
        for share in points:
            yield from context.connect(ammeter)
            yield from context.excite(context.feed(_id(share), share * nominal, "variac"))
            # The curve's upper end chooses the range: a gapped core takes several times the design's current.
            expected = 2.5 * curve.current_at(max(points) * nominal)
            amps[share] = yield from context.take(_id(share), Quantity.CURRENT_AC, expected, samples=2)
    except Skipped as reason:
        for share in points:
            if share not in amps:
                context.skip(_id(share), str(reason))
    yield from context.switch_off("exciting", DEMAGNETISE)
    for share in points:
        if share in amps and share in volts:
            yield StepDone(_judge(context, curve, share, volts[share], amps[share]))


def _judge(context: Context, curve: ExcitingCurve, share: float, volts: Reading, amps: Reading) -> StepResult:
    rules = context.rules["exciting"]
    step, label, fed = _id(share), _label(share), context.expectation.fed
    if volts.state is not State.GOOD or volts.value is None or volts.value <= 0:
        return unreadable_result(
            step, label, "current_ac", fed, "A", volts, basis=rules["basis"], note="no volts were read on the winding"
        )
    if amps.state is not State.GOOD:
        return overload_result(
            step,
            label,
            "current_ac",
            fed,
            "A",
            amps,
            expected=None,
            basis=rules["basis"],
            note="more current than the range holds",
        )
    measured = Estimate.of(amps)
    expected = curve.current_at(volts.value)
    # A doubt in the volts is a doubt in the current, n times as large where the curve is steep.
    slope = curve.slope_at(volts.value)
    u_volts = Estimate.of(volts).relative
    measured = measured.also("volts on the winding", measured.value * slope * u_volts)
    measured = measured.also("variac set twice", measured.value * slope * _U_REPEAT)
    upper = expected * math.exp(COVERAGE * curve.u_log_current_at(volts.value))
    basis = rules["basis"]
    found = _as_found(context, volts.value)
    if found is not None:
        upper, basis = found * rules["as_found_factor"], rules["as_found_basis"]
    result = judge(
        step,
        label,
        "current_ac",
        fed,
        "A",
        measured,
        lower=None,
        upper=upper,
        basis=basis,
        expected=expected,
        readings=(amps, volts),
        at_volts=volts.value,
    )
    return unless_next_to_nothing(result, "is the ammeter in the circuit, on the right range?")


def _as_found(context: Context, volts: float) -> float | None:
    """The current that the same core took as found, at the same flux and with this winding; None beyond its curve."""
    as_found = context.job.as_found
    if as_found is None or not as_found.core_kept or len(as_found.exciting) < 2:
        return None
    found_turns, found_hertz = as_found.curve_turns, as_found.frequency
    if found_turns is None or found_hertz is None:
        return None
    fed_turns = abs(context.expectation.fed_span.turns)
    same_flux = volts / fed_turns / context.expectation.frequency * found_turns * found_hertz
    points = sorted((p.voltage, p.current) for p in as_found.exciting)
    for (v0, i0), (v1, i1) in itertools.pairwise(points):
        if v0 <= same_flux <= v1 and v1 > v0:
            along = math.log(same_flux / v0) / math.log(v1 / v0)
            return math.exp(math.log(i0) + along * math.log(i1 / i0)) * found_turns / fed_turns
    return None


def _id(share: float) -> str:
    return f"exciting:{round(share * 100)}"


def _label(share: float) -> str:
    return f"exciting current at {round(share * 100)} %"
