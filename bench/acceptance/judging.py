"""From an estimate and limits to a step's result, and the second look at whatever would be rejected."""

from __future__ import annotations

import math
from dataclasses import replace

from bench.acceptance.chances import chances
from bench.acceptance.decision import COVERAGE, Verdict, decide
from bench.acceptance.result import StepResult
from bench.estimate import Estimate
from drivers.reading import Reading, State

__all__ = [
    "SECOND_LOOK",
    "agree",
    "at_fault",
    "judge",
    "not_repeated",
    "overload_result",
    "unless_next_to_nothing",
    "unreadable_result",
]

SECOND_LOOK = (
    "This reading is far from the design. Look at both ends of both leads, at the range and the decimal point, "
    "and take it again."
)

_NEXT_TO_NOTHING = 1 / 20
_HARDLY_EVER = 0.5
_NEARLY_ALWAYS = 0.95


def judge(
    step: str,
    label: str,
    quantity: str,
    winding: str,
    unit: str,
    estimate: Estimate,
    *,
    lower: float | None,
    upper: float | None,
    basis: str,
    expected: float | None = None,
    readings: tuple[Reading, ...] = (),
    at_volts: float | None = None,
    note: str = "",
) -> StepResult:
    """A step's result by the decision rule."""
    decision = decide(estimate.value, estimate.u, lower, upper)
    if decision.verdict is Verdict.UNDECIDED and not note:
        note = f"this meter can't tell: +-{COVERAGE * estimate.u:.3g} {unit} against the nearest limit"
        note += _what_leaves_it_open(estimate.u, lower, upper, expected)
    return StepResult(
        id=step,
        label=label,
        quantity=quantity,
        winding=winding,
        measured=estimate.value,
        state=State.GOOD,
        unit=unit,
        verdict=decision.verdict,
        expected=expected,
        u=estimate.u,
        components=estimate.components,
        lower=lower,
        upper=upper,
        basis=basis,
        probability=decision.probability,
        at_volts=at_volts,
        raw=tuple(reading.raw for reading in readings),
        note=note,
    )


def _what_leaves_it_open(u: float, lower: float | None, upper: float | None, expected: float | None) -> str:
    """Whether it is the reading or the unit that leaves a step undecided; nothing where the design is no guide."""
    if expected is None or not (lower is None or lower < expected) or not (upper is None or expected < upper):
        return ""
    often = chances(expected, u, lower, upper, COVERAGE * u).accepted
    if often < _HARDLY_EVER:
        return f"; a unit exactly as designed would be accepted {100 * often:.0f} times in 100: a surer reading helps"
    if often > _NEARLY_ALWAYS:
        return "; a unit exactly as designed would nearly always be accepted: this one lies near its limit"
    return ""


def overload_result(
    step: str,
    label: str,
    quantity: str,
    winding: str,
    unit: str,
    reading: Reading,
    *,
    expected: float | None,
    basis: str,
    note: str,
) -> StepResult:
    """A step whose reading is over range or no value where a number is due: rejected, without a number."""
    return StepResult(
        id=step,
        label=label,
        quantity=quantity,
        winding=winding,
        measured=None,
        state=reading.state,
        unit=unit,
        verdict=Verdict.REJECTED,
        expected=expected,
        basis=basis,
        probability=0.0,
        raw=(reading.raw,),
        note=note,
    )


def unreadable_result(
    step: str, label: str, quantity: str, winding: str, unit: str, reading: Reading, *, basis: str, note: str
) -> StepResult:
    """A step whose readings can't be worked out: laid to the reading, never to the unit."""
    return StepResult(
        id=step,
        label=label,
        quantity=quantity,
        winding=winding,
        measured=None,
        state=State.NO_VALUE if reading.state is State.GOOD else reading.state,
        unit=unit,
        verdict=Verdict.TROUBLE,
        basis=basis,
        raw=(reading.raw,),
        note=note,
    )


def unless_next_to_nothing(result: StepResult, what: str) -> StepResult:
    """The same result, or trouble of the reading where it is far less than any core takes.

    The best oriented sheet loses a fifth of what plain sheet does (common practice, no source); a twentieth of the
    design is no core at all.
    """
    if result.measured is None or not result.expected:
        return result
    if result.measured + 3 * result.u < result.expected * _NEXT_TO_NOTHING:
        return at_fault(result, f"less than a twentieth of the design, no core takes so little: {what}")
    return result


def agree(first: StepResult, second: StepResult) -> bool:
    """Whether a reading and its repetition, leads put on anew, tell the same."""
    if first.measured is None or second.measured is None:
        return first.measured is None and second.measured is None
    allowed = 3 * math.hypot(first.u, second.u) + 0.01 * max(abs(first.measured), abs(second.measured))
    return abs(first.measured - second.measured) <= allowed


def not_repeated(result: StepResult, reason: str) -> StepResult:
    """What was read once and not looked at again stands, with its hazard."""
    note = f"read once, the second look was skipped: {reason}"
    return replace(result, note=f"{result.note}; {note}" if result.note else note)


def at_fault(result: StepResult, why: str) -> StepResult:
    """The same result, laid to the reading and not to the unit."""
    return replace(result, verdict=Verdict.TROUBLE, note=why)
