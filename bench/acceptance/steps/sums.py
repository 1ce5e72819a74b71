"""Sum and difference of windings that are much alike, and of those meant to be paralleled, at a few volts only."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.judging import at_fault, judge
from bench.acceptance.one_sitting import both_in_one_sitting
from bench.acceptance.one_turn import one_turn, reference_volts, what_reads
from bench.acceptance.requests import Connect, Request, Skipped, StepDone
from bench.acceptance.result import StepResult
from bench.acceptance.second_look import looked_at_twice
from bench.estimate import Estimate
from bench.job.expectation import Span
from bench.quantities import show
from drivers.reading import Quantity, Reading, State

ABOUT = About(
    words="sum and difference of windings that are alike, and of those to be paralleled, at a few volts",
    feeds=True,
    rules_out=("winding_reversed", "turns_wrong"),
    guards=("conditions", "low_volts"),
    minutes=1.0,
    minutes_each=1.5,
)

# What the supply may drift between the primary's reading and a sum, standard uncertainty as a fraction of the sum;
# common practice, no source.
_DRIFT = 0.001
# How far, as a share of all the turns and in turns besides, a sum may lie from what the two windings read alone.
_STRAY_SHARE = 0.02
_STRAY_TURNS = 1.5


class _Kind(StrEnum):
    """How two windings are joined, and between which of their ends the volts are read."""

    SUM = "sum"
    BUCKING = "bucking"
    PARALLEL = "parallel"


@dataclass(frozen=True)
class _Pair:
    """Two windings and how they are joined; the ends of the second change places where it is drawn the other way."""

    kind: _Kind
    one: Span
    other: Span

    @property
    def step(self) -> str:
        return f"{self.kind}:{self.one.name}-{self.other.name}"

    @property
    def label(self) -> str:
        words = {
            _Kind.SUM: f"{self.one.name} and {self.other.name} aiding",
            _Kind.BUCKING: f"{self.one.name} against {self.other.name}",
            _Kind.PARALLEL: f"{self.one.name} and {self.other.name} before paralleling",
        }
        return words[self.kind]

    @property
    def both(self) -> float:
        """Turns of the two together."""
        return abs(self.one.turns) + abs(self.other.turns)

    @property
    def apart(self) -> float:
        """Turns by which they are designed to differ."""
        return abs(abs(self.one.turns) - abs(self.other.turns))

    @property
    def due(self) -> float:
        return self.both if self.kind is _Kind.SUM else self.apart

    @property
    def ends(self) -> tuple[tuple[str, str], tuple[str, str]]:
        """What is joined, and between what the volts are read."""
        one, other = self.one, self.other
        start, finish = other.from_terminal, other.to_terminal
        if one.turns * other.turns < 0 and self.kind is not _Kind.PARALLEL:
            start, finish = finish, start
        match self.kind:
            case _Kind.SUM:
                return (one.to_terminal, start), (one.from_terminal, finish)
            case _Kind.BUCKING:
                return (one.to_terminal, finish), (one.from_terminal, start)
            case _Kind.PARALLEL:
                return (one.from_terminal, start), (one.to_terminal, finish)


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(pair.step, pair.label, required=pair.kind is _Kind.PARALLEL) for pair in _pairs(context)]


def run(context: Context) -> Steps:
    """One pair after the other; the link is taken off at the end."""
    for pair in _pairs(context):
        required = pair.kind is _Kind.PARALLEL
        if not {pair.one.name, pair.other.name} <= {*context.ratios, context.expectation.fed}:
            context.skip(pair.step, "the volts of one of the two could not be read", required=required)
            continue
        try:
            yield from _one(context, pair)
        except Skipped as reason:
            context.skip(pair.step, str(reason), required=required)
    yield from context.switch_off("sums")
    yield from context.link_off("sums", "The link between the windings is off: nothing is joined to anything.")


def _pairs(context: Context) -> list[_Pair]:
    """Those to be paralleled; of the others each to the first that is like it."""
    spans = context.expectation.spans
    whole = [span for span in context.secondary_spans() if span.whole]
    pairs, paralleled = [], set()
    for winding in context.job.winding:
        if winding.parallel_with is None:
            continue
        two = frozenset({winding.name, winding.parallel_with})
        if two not in paralleled:
            paralleled.add(two)
            pairs.append(_Pair(_Kind.PARALLEL, spans[winding.parallel_with], spans[winding.name]))
    groups: list[list[Span]] = []
    for span in whole:
        group = next((one for one in groups if _alike(context, one[0], span)), None)
        if group is None:
            groups.append([span])
            continue
        group.append(span)
        if frozenset({group[0].name, span.name}) not in paralleled:
            pairs += [_Pair(_Kind.SUM, group[0], span), _Pair(_Kind.BUCKING, group[0], span)]
    return pairs


def _alike(context: Context, one: Span, other: Span) -> bool:
    few, many = sorted((abs(one.turns), abs(other.turns)))
    return few >= (1 - float(context.rules["sums"]["like_within"])) * many


def _one(context: Context, pair: _Pair) -> Steps:
    result = yield from looked_at_twice(
        context, lambda text: _read(context, pair, text), "two things: look at the link and at the leads"
    )
    if result.verdict is Verdict.REJECTED and _reversed(pair, result):
        context.gates.append(f"{pair.one.name} or {pair.other.name} is reversed")
    if "a turn more or less" in result.note:
        context.skip(f"{pair.step}:turn", result.note, required=False)
    yield StepDone(result)


def _read(context: Context, pair: _Pair, text: str) -> Generator[Request, Any, StepResult]:
    two = (pair.one.winding, pair.other.winding)
    feed = context.feed(pair.step, context.most_low_volts(joined=two), "low voltage", joined=two)
    due = feed.volts / abs(context.expectation.fed_span.turns)
    link, (start, finish) = pair.ends
    first = "They are not joined yet. " if pair.kind is _Kind.PARALLEL else ""
    words = f"{first}Join {link[0]} and {link[1]}, nothing else; voltmeter from {start} to {finish}."
    place = Connect(
        pair.step,
        Quantity.VOLTAGE_AC,
        start,
        finish,
        winding=pair.one.winding,
        links=(link,),
        text=f"{text} {words}".strip(),
        expected=pair.due * due,
    )

    def joined() -> Generator[Request, Any, Reading]:
        context.link_on("sums")
        yield from context.connect(place)
        yield from context.excite(feed)
        # A range that holds a turn or two reads a difference; more volts are read on one that holds all.
        reading = yield from context.take(pair.step, Quantity.VOLTAGE_AC, 1.2 * (pair.due + 2) * due, samples=2)
        if reading.state is State.OVERLOAD:
            reading = yield from context.take(pair.step, Quantity.VOLTAGE_AC, 1.2 * pair.both * due, samples=2)
        return reading

    reference, reading = yield from both_in_one_sitting(
        context, lambda: reference_volts(context, pair.step, feed), joined
    )
    turn = one_turn(context, reference)
    if reading.state is not State.GOOD or reading.value is None:
        raise Skipped(f"the meter reads {reading.state}")
    volts = Estimate.of(reading)
    turns = volts.also(f"{pair.step}:drift", _DRIFT * volts.value) / turn
    # Flux beside the core is seen by each of the two by its place, whatever their difference.
    leakage = context.expectation.leakage(reference.value or 0.0)
    turns = turns.also("flux beside the core", leakage * max(abs(pair.one.turns), abs(pair.other.turns)) / 3**0.5)
    if context.expectation.fed in two:
        # The primary's volts hold its own drop, which the other winding's do not.
        drop = context.expectation.drop(reference.value or 0.0)
        turns = turns.also("flux beside the core", drop * abs(context.expectation.fed_span.turns))
    return _judge(context, pair, turns, turn.value, (reading.raw, reference.raw), reference.value)


def _judge(
    context: Context, pair: _Pair, turns: Estimate, turn: float, raw: tuple[str, ...], at_volts: float | None
) -> StepResult:
    rules = context.rules["sums"]
    fed_turns = abs(context.expectation.fed_span.turns)
    alone = [context.ratios.get(span.name, 1.0) * fed_turns for span in (pair.one, pair.other)]
    both, apart = sum(alone), abs(alone[0] - alone[1])
    stray = _STRAY_SHARE * both + _STRAY_TURNS + COVERAGE * turns.u
    aids = abs(turns.value - both) < abs(turns.value - apart)
    due_to_aid = pair.kind is _Kind.SUM
    tolerance = _sum_tolerance(context, pair) if due_to_aid else rules["turns"]
    note, basis = "", rules["basis"]
    lower: float | None = max(0.0, pair.due - tolerance)
    upper: float | None = pair.due + tolerance
    if aids is not due_to_aid:
        note = "they oppose each other" if due_to_aid else "their volts add: twice the volts of one, not none"
        note += ": one of the two is reversed, or its leads are"
        if pair.kind is _Kind.PARALLEL:
            note += "; joined in parallel they are a dead short"
    elif COVERAGE * turns.u >= tolerance:
        # This meter, or the flux beside the core, hides a turn: what is left to tell is the sense.
        note, basis = _hidden(context, pair, turns, turn), rules["sense_basis"]
        lower, upper = (both + apart) / 2 if due_to_aid else None, None if due_to_aid else (both + apart) / 2
    result = judge(
        pair.step, pair.label, "turns_in_series", pair.one.name, "turns", turns,
        lower=None if lower == 0.0 else lower, upper=upper, basis=basis, expected=pair.due, at_volts=at_volts,
    )  # fmt: skip
    result = replace(result, raw=raw, note="; ".join(one for one in (note, result.note) if one))
    if min(abs(turns.value - both), abs(turns.value - apart)) > stray:
        return at_fault(result, "neither the sum nor the difference of what the two read alone: the link, the leads?")
    if pair.kind is _Kind.PARALLEL and aids is due_to_aid and result.verdict is Verdict.REJECTED:
        result = replace(result, note=_round_current(context, pair, turns.value))
    return result


def _sum_tolerance(context: Context, pair: _Pair) -> float:
    rules = context.rules["ratio"]
    return float(max(rules["tolerance"] * pair.both, rules["turns"]))


def _reversed(pair: _Pair, result: StepResult) -> bool:
    assert result.measured is not None
    aids = abs(result.measured - pair.both) < abs(result.measured - pair.apart)
    return aids is not (pair.kind is _Kind.SUM)


def _hidden(context: Context, pair: _Pair, turns: Estimate, turn: float) -> str:
    """Why a turn more or less does not show, and what would show it."""
    tolerance = context.rules["sums"]["turns"]
    flux = abs(turns.parts.get("flux beside the core", 0.0))
    if COVERAGE * flux >= tolerance:
        return (
            "a turn more or less is not told: the flux beside the core, and the drop of a winding that is fed, hide up "
            f"to {COVERAGE * flux:.1f} turns of so many; the turns at nominal decide"
        )
    needed = what_reads(tolerance * turn / COVERAGE)
    return (
        f"a turn more or less is not told: it is {show(turn, 'V', 3)} here, and this meter reads to "
        f"±{show(COVERAGE * turns.u * turn, 'V', 2)}; {needed} would tell, or the turns at nominal"
    )


def _round_current(context: Context, pair: _Pair, turns: float) -> str:
    """What unequal windings drive through each other once they are joined."""
    ohms = [span.resistance for span in (pair.one, pair.other)]
    note = f"{turns:.1f} turns apart: do not join them"
    if None in ohms or not all(one is not None and math.isfinite(one) and one > 0 for one in ohms):
        return note
    volts = turns * context.expectation.voltage / abs(context.expectation.fed_span.turns)
    amps = volts / sum(one for one in ohms if one is not None)
    return f"{note}; at nominal {show(amps, 'A', 2)} would run round in the two with nothing connected"
