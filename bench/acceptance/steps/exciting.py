"""The exciting current against volts, to 110 %: with one meter volts on one pass and amps on the next."""

from __future__ import annotations

import itertools
import math
from collections.abc import Generator
from dataclasses import dataclass, field, replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.current_ways import CurrentWay, current_way
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.demagnetising import DEMAGNETISE
from bench.acceptance.due import volts_due
from bench.acceptance.judging import judge, overload_result, unless_next_to_nothing, unreadable_result
from bench.acceptance.requests import Connect, Request, Skipped, StepDone
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
_MARK_THE_DIAL = "Mark where the dial stands for these volts: the current is read at the same mark."
_SAME_MARK = "The dial to its mark of before: with one meter nothing else tells the volts now."
_NO_WAY = (
    "this meter does not read alternating current, and there is no known resistor on this bench that bears it: "
    "any 100 ohm, 5 W resistor of known ohms will do"
)


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(_id(share), _label(share), required=True) for share in context.rules["exciting"]["points"]]


def run(context: Context) -> Steps:
    curve = context.expectation.curve
    points: list[float] = context.rules["exciting"]["points"]
    if curve is None:
        for share in points:
            context.skip(_id(share), f"the job does not say {context.why_no_curve}")
        return
    way = current_way(context, curve)
    if way is None:
        for share in points:
            context.skip(_id(share), _NO_WAY)
        return
    read = _Read()
    try:
        if context.equipment.at_once and way.ohms is None:
            yield from _both_at_once(context, curve, way, points, read)
        else:
            yield from _one_after_the_other(context, curve, way, points, read)
    except Skipped as reason:
        for share in points:
            if share not in read.amps:
                context.skip(_id(share), str(reason))
    yield from context.switch_off("exciting", DEMAGNETISE)
    context.beside = None
    for share in points:
        if share not in read.judged and share in read.amps and share in read.volts:
            yield StepDone(_judge(context, curve, way, share, read))


@dataclass
class _Read:
    """By share of nominal: the volts on the winding, and what the current was read as, each with its sitting."""

    volts: dict[float, Reading] = field(default_factory=dict)
    amps: dict[float, Reading] = field(default_factory=dict)
    together: bool = False
    judged: set[float] = field(default_factory=set)
    volts_in: dict[float, int] = field(default_factory=dict)
    amps_in: dict[float, int] = field(default_factory=dict)


def _judge_whole(context: Context, curve: ExcitingCurve, way: CurrentWay, points: list[float], read: _Read) -> Steps:
    """Each point as soon as it and those below are whole: both read in one sitting.

    Raises Skipped where one that is not as it should be forbids more volts.
    """
    for share in points:
        if share in read.judged:
            continue
        if read.volts_in.get(share, 0) != read.amps_in.get(share):
            return
        read.judged.add(share)
        result = _judge(context, curve, way, share, read)
        yield StepDone(result)
        danger = "" if result.verdict is Verdict.ACCEPTED else context.danger()
        if danger:
            raise Skipped(f"no more volts: {danger}")


def _one_after_the_other(
    context: Context, curve: ExcitingCurve, way: CurrentWay, points: list[float], read: _Read
) -> Steps:
    """One meter: volts on one pass, the current on the next.

    Where the test was broken off between the two, the mains of another day fed the second: the earlier is read again.
    """
    fed, nominal = context.expectation.fed_span, context.expectation.voltage
    text = f"Voltmeter on {fed.name}."
    if way.ohms is not None:
        text = f"{way.ohms.value:g} ohm between the supply and {fed.from_terminal}. {text}"
    volts_in, amps_in = read.volts_in, read.amps_in
    while True:
        for share in [one for one in points if volts_in.get(one, 0) < amps_in.get(one, 1)]:
            feed = replace(way.feed(context, curve, _id(share), share * nominal), text=_MARK_THE_DIAL)
            read.volts[share] = yield from read_span(context, _id(share), fed, feed, text, share * nominal)
            volts_in[share] = context.sitting
            yield from _judge_whole(context, curve, way, points, read)
        yield from context.switch_off(_id(points[0]))
        for share in [one for one in points if amps_in.get(one, 0) < volts_in[one]]:
            yield from context.connect(_place(way, curve, points, nominal))
            feed = way.feed(context, curve, _id(share), share * nominal)
            yield from context.excite(replace(feed, text=_SAME_MARK))
            read.amps[share] = yield from _take_current(context, curve, way, points, share)
            amps_in[share] = context.sitting
            yield from _judge_whole(context, curve, way, points, read)
        if volts_in == amps_in:
            return


def _both_at_once(context: Context, curve: ExcitingCurve, way: CurrentWay, points: list[float], read: _Read) -> Steps:
    """A voltmeter and an ammeter, both connected before the volts come up: no lead is moved, no mark is set twice."""
    fed, nominal = context.expectation.fed_span, context.expectation.voltage
    voltmeter = Connect(
        "exciting", Quantity.VOLTAGE_AC, fed.from_terminal, fed.to_terminal, winding=fed.winding,
        text=f"Voltmeter on {fed.name}.", expected=nominal,
    )  # fmt: skip
    yield from context.connect(voltmeter)
    context.beside = voltmeter
    yield from context.connect(_place(way, curve, points, nominal))
    read.together = True
    for share in points:
        feed = way.feed(context, curve, _id(share), share * nominal)
        yield from context.excite(feed)
        volts = share * nominal
        due = volts_due(context.expectation, voltmeter, volts, feed)
        read.volts[share] = yield from context.take(_id(share), Quantity.VOLTAGE_AC, volts * 1.05, 2, due)
        read.amps[share] = yield from _take_current(context, curve, way, points, share)
        read.volts_in[share] = read.amps_in[share] = context.sitting
        yield from _judge_whole(context, curve, way, points, read)


def _place(way: CurrentWay, curve: ExcitingCurve, points: list[float], nominal: float) -> Connect:
    return replace(way.place, expected=way.expected(curve.current_at(max(points) * nominal)))


def _take_current(
    context: Context, curve: ExcitingCurve, way: CurrentWay, points: list[float], share: float
) -> Generator[Request, Any, Reading]:
    # The curve's upper end chooses the range: a gapped core takes several times the design's current.
    nominal = context.expectation.voltage
    most = way.expected(2.5 * curve.current_at(max(points) * nominal))
    due = way.due(curve.current_at(share * nominal))
    reading = yield from context.take(_id(share), way.quantity, most, 2, due)
    return reading


def _judge(
    context: Context,
    curve: ExcitingCurve,
    way: CurrentWay,
    share: float,
    read: _Read,
) -> StepResult:
    volts, amps = read.volts[share], read.amps[share]
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
    measured, corrected = way.amps(context, curve, amps, volts.value)
    expected = curve.current_at(volts.value)
    # A doubt in the volts is a doubt in the current, n times as large where the curve is steep.
    slope = curve.slope_at(volts.value)
    u_volts = Estimate.of(volts).relative
    measured = measured.also("volts on the winding", measured.value * slope * u_volts)
    if not read.together:
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
    where = "is the ammeter in the circuit" if way.ohms is None else "is the meter across the resistor"
    result = unless_next_to_nothing(result, f"{where}, on the right range?")
    notes = [note for note in (result.note, f"read {way.words}", corrected) if note]
    return replace(result, note="; ".join(notes))


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
