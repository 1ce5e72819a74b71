"""Readings that are a yes or a no: polarity, insulation, an open winding, a flash-over, a lamp that stayed bright."""

from __future__ import annotations

import math

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis import looks
from bench.diagnosis.hypothesis import Hypothesis
from bench.diagnosis.likelihood import IMPOSSIBLE
from bench.job.expectation import Expectation

__all__ = ["Signs"]

_GOOD_INSULATION = 3e7
# What it speaks against low insulation elsewhere that one pair, read alone, is as low; natural logarithm.
_PAIR_NAMED = 4.0
# Natural logarithms: that low insulation of one body alone is to the core, and that a third one is low beside a pair.
_TO_THE_CORE = -1.0
_BESIDE_A_PAIR = -3.0
# A wrong reading that shows nowhere: nothing speaks for it but that it is common.
_SHOWS_NOWHERE = -2.0
# A broken earth lead shows in one of two readings at least, where both ends of the foil are out.
_SEEN_OTHERWISE = -1.0


class Signs:
    """The signs of a test, sorted once for all hypotheses."""

    def __init__(self, steps: tuple[StepResult, ...]) -> None:
        judged = [step for step in steps if step.verdict is not Verdict.TROUBLE]
        self._troubled = [step for step in steps if step.verdict is Verdict.TROUBLE]
        self._polarities = [one for one in judged if one.id.startswith("polarity:") and one.measured is not None]
        self._opened = [
            one
            for one in judged
            if one.id.startswith("resistance:") and one.measured is None and one.verdict is Verdict.REJECTED
        ]
        self._flashed = any(_flashed(one) for one in judged)
        insulation = [one for one in judged if one.id.startswith("insulation:") and one.measured is not None]
        self._to_the_rest = [one for one in insulation if _to_all_the_rest(one)]
        self._pairs = [one for one in insulation if not _to_all_the_rest(one)]
        self._earths = [one for one in judged if one.id.startswith(("earthed:", "screen_foil:"))]
        self._looks = tuple(looks.seen(judged))
        self._bright = sum(one.id == "first_power" and one.verdict is Verdict.REJECTED for one in judged)

    def log_probability(self, hypothesis: Hypothesis, model: Expectation) -> float:
        """ln of the probability of all signs under a hypothesis.

        Readings laid to the reading itself speak only for or against a wrong reading or a wrong supply.
        """
        total = _trouble(hypothesis, model, self._troubled)
        total += looks.log_probability(hypothesis, self._looks)
        total += _polarities(hypothesis, model, self._polarities)
        total += sum(0.0 if _is_open(model, one.winding) else 2 * IMPOSSIBLE for one in self._opened)
        if self._flashed:
            # An insulation tester may well see nothing of what flashes over at more volts.
            total += 0.0 if hypothesis.low_insulation else 2 * IMPOSSIBLE
        if not (self._flashed and hypothesis.low_insulation):
            total += _insulation(hypothesis, self._to_the_rest)
            total += sum(_pair(hypothesis, one) for one in self._pairs)
        total += sum(_unearthed(hypothesis, one) for one in self._earths)
        if not (hypothesis.variant.loop_conductance > 0 or hypothesis.fault == "unknown"):
            total += self._bright * IMPOSSIBLE
        return total


def _flashed(step: StepResult) -> bool:
    return step.id.startswith("hipot:") and step.verdict is Verdict.REJECTED and step.measured is None


def _trouble(hypothesis: Hypothesis, model: Expectation, troubled: list[StepResult]) -> float:
    total = 0.0
    for step in troubled:
        about = "supply" if step.id == "frequency" else step.winding
        explained = bool(hypothesis.misread) and (
            hypothesis.misread == about or about.startswith(f"{hypothesis.misread}.")
        )
        total += 0.0 if explained or _is_open(model, about) else IMPOSSIBLE
    if hypothesis.misread and not troubled:
        total += _SHOWS_NOWHERE
    return total


def _polarities(hypothesis: Hypothesis, model: Expectation, steps: list[StepResult]) -> float:
    if hypothesis.fault == "unknown":
        return -1.0
    total = 0.0
    for step in steps:
        if step.winding not in model.spans or _is_open(model, step.winding):
            continue  # whatever an open winding shows, it is not its own
        reversed_here = model.reversed_against_design(step.winding)
        total += 0.0 if reversed_here == ((step.measured or 0.0) < 0) else 2 * IMPOSSIBLE
    return total


def _is_open(model: Expectation, name: str) -> bool:
    span = model.spans.get(name)
    return span is not None and span.resistance == math.inf


def _to_all_the_rest(step: StepResult) -> bool:
    """Whether the reading is of one body to all others, and not of a pair."""
    return step.id == f"insulation:{step.winding}" and not step.label.startswith("insulation between")


def _pair(hypothesis: Hypothesis, step: StepResult) -> float:
    """Insulation of two bodies alone."""
    if step.verdict is not Verdict.REJECTED:
        return 0.0
    if not hypothesis.low_insulation:
        return IMPOSSIBLE
    named = step.id == f"insulation:{hypothesis.low_insulation}-{hypothesis.other_side}"
    return 0.0 if named else -_PAIR_NAMED


def _insulation(hypothesis: Hypothesis, steps: list[StepResult]) -> float:
    """Each body to all the rest: low between two shows from both sides, low to the core from one."""
    low = {step.winding for step in steps if (step.measured or 0.0) < _GOOD_INSULATION}
    good = {step.winding for step in steps} - low
    if not hypothesis.low_insulation:
        return IMPOSSIBLE * len(low)
    sides = {hypothesis.low_insulation, hypothesis.other_side}
    total = IMPOSSIBLE * len(good & sides)
    if not hypothesis.other_side:
        return total + (0.0 if low - sides else _TO_THE_CORE)
    return total + _BESIDE_A_PAIR * len(low - sides)


def _unearthed(hypothesis: Hypothesis, step: StepResult) -> float:
    """Ohms to earth, and through the foil: open only where the screen is not joined."""
    concerned = bool(hypothesis.unearthed) and hypothesis.unearthed == step.winding
    if step.verdict is Verdict.REJECTED:
        return 0.0 if concerned else IMPOSSIBLE
    return _SEEN_OTHERWISE if concerned else 0.0
