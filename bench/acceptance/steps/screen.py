"""Whether a screen closes on itself: the volts between its ends, where both are out; in words, where not."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.judging import at_fault, judge, overload_result
from bench.acceptance.ohms import ohmmeter, read_ohms
from bench.acceptance.one_sitting import both_in_one_sitting
from bench.acceptance.one_turn import one_turn, reference_volts, what_reads
from bench.acceptance.requests import Connect, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.second_look import looked_at_twice
from bench.estimate import Estimate
from bench.job.winding import Screen
from bench.quantities import show
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="whether a screen closes on itself, by the volts between its ends",
    feeds=True,
    rules_out=("screen_closed", "screen_unearthed"),
    guards=("conditions", "resistance"),
    minutes=1.0,
    minutes_each=1.5,
)

_ONE_END = (
    "one end of {name} is out: whether it closes on itself is told by the watts at low volts, and surely by the core "
    "watts behind the limiter; until then a closed screen is not excluded. Both ends out would tell at a few volts"
)
# More than so many turns between the ends of a foil that goes round once: the meter's leads go round the core too.
_MORE_THAN_A_TURN = 1.3


def plan(context: Context) -> list[PlannedStep]:
    steps = []
    for screen in context.job.screen:
        if screen.far_lead is not None:
            steps.append(PlannedStep(_foil_id(screen), _foil_label(screen), required=True))
        steps.append(PlannedStep(_id(screen), _label(screen), required=screen.far_lead is not None))
    return steps


def run(context: Context) -> Steps:
    """The foil's ohms first: they show that both leads reach it, so that no volts can't mean a lead in the air."""
    for screen in context.job.screen:
        if screen.far_lead is None:
            context.skip(_id(screen), _ONE_END.format(name=screen.name), required=False)
            continue
        try:
            conducts = yield from _foil(context, screen)
        except Skipped as reason:
            context.skip(_foil_id(screen), str(reason))
            conducts = None
        if conducts is False:
            context.skip(_id(screen), f"{screen.name} does not conduct from lead to lead: no volts between them tell")
            continue
        try:
            yield from _volts(context, screen, proven=conducts is True)
        except Skipped as reason:
            context.skip(_id(screen), f"{reason}: a closed screen is not excluded")
    yield from context.switch_off("screen")


def _foil(context: Context, screen: Screen) -> Generator[Request, Any, bool]:
    """Whether the foil conducts from one lead to the other."""
    result = yield from looked_at_twice(
        context, lambda text: _read_foil(context, screen, text), "two things: leads or contact, not the screen"
    )
    if result.verdict is Verdict.REJECTED:
        context.gates.append(f"{screen.name} is not joined from end to end: its earth does not reach all of it")
    yield StepDone(result)
    return result.measured is not None and result.verdict not in (Verdict.REJECTED, Verdict.TROUBLE)


def _read_foil(context: Context, screen: Screen, text: str) -> Generator[Request, Any, StepResult]:
    rules = context.rules["screen"]
    words = text or f"Ohmmeter from one lead of {screen.name} to the other, neither of them earthed yet."
    place = _between(screen, _foil_id(screen), ohmmeter(context), words, rules["foil_ohm"])
    reading = yield from read_ohms(context, place)
    if reading.state is not State.GOOD:
        return overload_result(
            _foil_id(screen), _foil_label(screen), "resistance", screen.name, "ohm", reading, expected=None,
            basis=rules["foil_basis"], note="open: a lead is off the foil, or the foil is torn",
        )  # fmt: skip
    ohms = Estimate.of(reading) - context.lead_ohms.get(place.quantity, Estimate(0.0))
    return judge(
        _foil_id(screen), _foil_label(screen), "resistance", screen.name, "ohm", ohms,
        lower=None, upper=rules["foil_ohm"], basis=rules["foil_basis"], readings=(reading,),
    )  # fmt: skip


def _volts(context: Context, screen: Screen, *, proven: bool) -> Steps:
    """proven: whether ohms showed that both leads reach the foil."""
    result = yield from looked_at_twice(
        context, lambda text: _read_volts(context, screen, text), "{_turns(first)} and {_turns(result)}: leads or range"
    )
    if result.verdict is Verdict.REJECTED:
        if proven:
            context.gates.append(f"{screen.name} closes on itself: a shorted turn")
        else:
            why = "few volts, and no ohms that show that both leads reach the foil: closed, or a lead in the air"
            result = replace(result, verdict=Verdict.UNDECIDED, note=why)
    if result.verdict is Verdict.NOT_DONE:
        context.skip(f"{result.id}:value", result.note, required=False)
    yield StepDone(result)


def _read_volts(context: Context, screen: Screen, text: str) -> Generator[Request, Any, StepResult]:
    rules = context.rules["screen"]
    step, label = _id(screen), _label(screen)
    feed = context.feed(step, context.most_low_volts(), "low voltage")
    words = text or f"Voltmeter from one lead of {screen.name} to the other; the meter's own leads not round the core."
    due = feed.volts / abs(context.expectation.fed_span.turns)

    def between_its_ends() -> Generator[Request, Any, Reading]:
        yield from context.connect(_between(screen, step, Quantity.VOLTAGE_AC, words, due))
        yield from context.excite(feed)
        return (yield from context.take(step, Quantity.VOLTAGE_AC, due * 2.2, samples=2))

    reference, reading = yield from both_in_one_sitting(
        context, lambda: reference_volts(context, step, feed), between_its_ends
    )
    turn = one_turn(context, reference)
    if reading.state is not State.GOOD or reading.value is None:
        raise Skipped(f"the meter reads {reading.state} where {show(turn.value, 'V', 3)} are due")
    share = Estimate.of(reading) / turn
    limit = next((one for one in (rules["open_turn"], rules["dead_turn"]) if _tells(share, one)), None)
    if limit is None:
        return _can_not_tell(context, screen, turn.value, share, reading, reference)
    result = judge(
        step, label, "screen_volts", screen.name, "turns", share, lower=limit, upper=None, basis=rules["basis"],
        expected=1.0, readings=(reading, reference), at_volts=reference.value,
    )  # fmt: skip
    if share.value - COVERAGE * share.u > _MORE_THAN_A_TURN:
        return at_fault(result, f"{share.value:.2f} turns between the ends of one: the meter's leads go round the core")
    told = _closed_by(context, screen, share.value) if result.verdict is Verdict.REJECTED else ""
    told = told or _excluded(context, screen, limit)
    return replace(result, note="; ".join(note for note in (result.note, told) if note))


def _tells(share: Estimate, limit: float) -> bool:
    """Whether a good screen's one turn lies above the limit by more than the guard band."""
    return 1.0 - COVERAGE * share.u > limit


def _can_not_tell(
    context: Context, screen: Screen, turn: float, share: Estimate, reading: Reading, reference: Reading
) -> StepResult:
    limit = context.rules["screen"]["dead_turn"]
    note = (
        f"one turn is {show(turn, 'V', 3)} at these volts, which this meter reads to "
        f"±{show(COVERAGE * share.u * turn, 'V', 2)}: a closed screen is not excluded; "
        f"{what_reads(turn * (1 - limit) / COVERAGE)} would tell, or the watts at low volts"
    )
    return StepResult(
        _id(screen), _label(screen), "screen_volts", screen.name, share.value, State.GOOD, "turns", Verdict.NOT_DONE,
        expected=1.0, u=share.u, components=share.components, basis=context.rules["screen"]["basis"],
        at_volts=reference.value, raw=(reading.raw, reference.raw), note=note,
    )  # fmt: skip


def _excluded(context: Context, screen: Screen, limit: float) -> str:
    """Up to which ohms of a closing contact this would have shown."""
    foil = context.expectation.screen_ohms.get(screen.name)
    if foil is None:
        return f"a contact that leaves less than {limit:g} of a turn would show"
    return f"a closing contact of up to {show(foil * limit / (1 - limit), 'ohm', 2)} would show"


def _closed_by(context: Context, screen: Screen, share: float) -> str:
    """What closes it, by Ohm's law: the volts left are those across the contact."""
    foil = context.expectation.screen_ohms.get(screen.name)
    if foil is None or not 0 <= share < 1:
        return ""
    return f"it closes on itself, through about {show(foil * share / (1 - share), 'ohm', 1)}"


def _between(screen: Screen, step: str, quantity: Quantity, text: str, expected: float) -> Connect:
    start, finish = f"{screen.name}.lead", f"{screen.name}.far_lead"
    return Connect(step, quantity, start, finish, winding=screen.name, text=text, expected=expected)


def _turns(result: StepResult) -> str:
    return "nothing" if result.measured is None else f"{result.measured:.2f} of a turn"


def _foil_id(screen: Screen) -> str:
    return f"screen_foil:{screen.name}"


def _foil_label(screen: Screen) -> str:
    return f"foil of {screen.name}, lead to lead"


def _id(screen: Screen) -> str:
    return f"screen:{screen.name}"


def _label(screen: Screen) -> str:
    return f"volts between the ends of {screen.name}"
