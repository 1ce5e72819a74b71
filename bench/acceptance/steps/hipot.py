"""The dielectric test, where it is done at all: done by a person with a tester made for it, read there and typed."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bench.acceptance.about import About
from bench.acceptance.cautions import Hazard
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.decision import Verdict
from bench.acceptance.entering import entered
from bench.acceptance.judging import judge
from bench.acceptance.requests import Confirm, Enter, Request, Skipped, StepDone, Trouble
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from bench.job.procedure_file import Stage
from bench.quantities import Dimension
from drivers.reading import Quantity, State

ABOUT = About(
    words="dielectric test at reduced volts, where it is done",
    rules_out=("insulation_low",),
    guards=("conditions", "insulation"),
    minutes=5.0,
    minutes_each=4.0,
    stages=(Stage.BEFORE_VARNISH, Stage.AFTER_VARNISH),
)

FLASHED = ("flashed", "flash", "flashover", "flash-over", "tripped", "trip", "breakdown")
"""What is typed where the insulation gave way, or the tester tripped."""

# Half widths of the error of a dielectric tester's dials, of reading; common practice, no source.
_VOLTS_ERROR = 0.03
_AMPS_ERROR = 0.10
# Below this share of the volts asked for it is another test.
_ENOUGH = 0.97
_WORN = 1.1


@dataclass(frozen=True)
class _Pair:
    """one against other;  full [V]: the whole test voltage;  basis of that."""

    one: str
    other: str
    words: str
    full: float
    basis: str

    @property
    def id(self) -> str:
        return f"hipot:{self.one}" if self.other == "rest" else f"hipot:{self.one},{self.other}"


def plan(context: Context) -> list[PlannedStep]:
    return [PlannedStep(pair.id, _label(pair), required=False) for pair in _pairs(context)]


def run(context: Context) -> Steps:
    """One pair after the other; what flashed over ends it, and bars mains."""
    rules = context.rules["hipot"]
    share = _share(context)
    pairs = _pairs(context)
    try:
        yield Confirm(
            "hipot",
            f"Only if you mean to: a dielectric test at {share * 100:.0f} % of the full volts, by your own tester "
            f"({rules['seconds']:g} s each). Skip it where there is no such tester: it is not required here. "
            "Everything off the unit, bench barred, second person there.",
            context.cautions.of(Hazard.HIPOT),
        )
    except Skipped as reason:
        for pair in pairs:
            context.skip(pair.id, str(reason), required=False)
        return
    for number, pair in enumerate(pairs):
        try:
            result = yield from _one(context, pair, share)
        except Skipped as reason:
            context.skip(pair.id, str(reason), required=False)
            continue
        yield StepDone(result)
        if result.verdict is Verdict.REJECTED and result.measured is None:
            context.gates.append(f"{pair.words} flashed over in the dielectric test")
            for left in pairs[number + 1 :]:
                context.skip(left.id, f"{pair.words} flashed over", required=False)
            break
    yield Confirm("hipot", "Tester off, unit discharged for a minute, all ties off.", context.cautions.of(Hazard.HIPOT))


def _one(context: Context, pair: _Pair, share: float) -> Generator[Request, Any, StepResult]:
    rules = context.rules["hipot"]
    wanted = pair.full * share
    ask = Enter(
        pair.id,
        Quantity.TEST_VOLTAGE,
        f"Dielectric tester: {pair.words}. {wanted:.0f} V ac, {rules['seconds']:g} s. Which volts does it apply?",
        "V",
        between=(pair.one, pair.other),
        cautions=context.cautions.of(Hazard.HIPOT),
        volts=wanted,
    )
    applied, _ = yield from entered(ask, Dimension.VOLTAGE, highest=_WORN * pair.full)
    text = (
        f"Up from zero in ten seconds, {rules['seconds']:g} s at {applied.value:.0f} V, down again. The leakage "
        "current at the end, or 'flashed'."
    )
    read = Enter(pair.id, Quantity.LEAKAGE_CURRENT, text, "mA", between=(pair.one, pair.other), volts=applied.value)
    basis = f"{pair.basis}; {share * 100:.0f} % of {pair.full:.0f} V: {context.stage}"
    amps = yield from _leakage(read)
    if amps is None:
        return StepResult(
            pair.id, _label(pair), "leakage_current", pair.one, None, State.OVERLOAD, "A", Verdict.REJECTED,
            required=False, basis=basis, probability=0.0, at_volts=applied.value,
            note=f"flashed over at {applied.value:.0f} V",
        )  # fmt: skip
    value, resolution = amps
    estimate = Estimate(
        value,
        {f"{pair.id}:tester": _AMPS_ERROR / 3**0.5 * value, f"{pair.id}:digit": resolution / 12**0.5},
    )
    result = judge(
        pair.id, _label(pair), "leakage_current", pair.one, "A", estimate,
        lower=None, upper=rules["most_ampere"], basis=f"{basis}; {rules['leakage_basis']}", at_volts=applied.value,
    )  # fmt: skip
    return _as_far_as_it_went(result, applied.value, wanted)


def _as_far_as_it_went(result: StepResult, applied: float, wanted: float) -> StepResult:
    """A test at fewer volts than it should have proves less: no pass, and no fault of the unit."""
    result = replace(result, required=False)
    if result.verdict is Verdict.ACCEPTED and applied * (1 + _VOLTS_ERROR) < _ENOUGH * wanted:
        note = f"held {applied:.0f} V where {wanted:.0f} V are due: this test says less"
        return replace(result, verdict=Verdict.UNDECIDED, probability=None, note=note)
    return result


def _leakage(ask: Enter) -> Generator[Request, Any, tuple[float, float] | None]:
    """Amperes and their resolution; None where it flashed over."""
    text = str((yield ask)).strip()
    if text.lower().rstrip(".!") in FLASHED:
        return None
    machine = entered(ask, Dimension.CURRENT, lowest=-1e-9, highest=1.0)  # a tester may well show 0
    try:
        next(machine)
        asking = machine.send(text)
        for _ in range(5):
            again = str((yield asking)).strip()
            if again.lower().rstrip(".!") in FLASHED:
                return None
            asking = machine.send(again)
    except StopIteration as end:
        typed, _text = end.value
        return typed.value, typed.resolution
    raise Trouble(f"{ask.step}: no readable value")


def _pairs(context: Context) -> list[_Pair]:
    """The mains winding to all the rest, to the other windings where no screen lies between; each other to the rest."""
    rules, job = context.rules["hipot"], context.job
    fed, mains = context.expectation.fed, context.expectation.voltage

    def due(table: str) -> float:
        return _between(rules["working_volts"], rules[table], mains)

    words = f"{fed} to all the rest, screen and core tied"
    pairs = [_Pair(fed, "rest", words, due("basic_volts"), rules["basic_basis"])]
    if not job.screen and job.secondaries:
        words = f"{fed} to the other windings tied, core not tied to either"
        pairs.append(_Pair(fed, "secondaries", words, due("reinforced_volts"), rules["reinforced_basis"]))
    for winding in job.secondaries:
        volts = mains * abs(context.expectation.ratio(winding.name))
        full = 2 * volts + 1000.0 if volts > rules["low_below_volts"] else rules["low_volts"]
        words = f"{winding.name} to all the rest, screen and core tied"
        pairs.append(_Pair(winding.name, "rest", words, full, rules["other_basis"]))
    return pairs


def _between(working: Sequence[float], tests: Sequence[float], volts: float) -> float:
    """The test voltage of the next working voltage that the table names, which is not less than the one in between."""
    for step, test in zip(working, tests, strict=True):
        if volts <= step:
            return float(test)
    raise Trouble(f"hipot: {volts:.0f} V are beyond the table of test voltages, which ends at {working[-1]:g} V")


def _share(context: Context) -> float:
    rules = context.rules["hipot"]
    return float(rules["share_after"] if context.stage is Stage.AFTER_VARNISH else rules["share_before"])


def _label(pair: _Pair) -> str:
    return f"dielectric test, {pair.one} to {pair.other}"
