"""How well a hypothesis explains all readings together, with what is not known of steel and copper integrated out."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.hypotheses import Hypothesis
from bench.job.expectation import Expectation

__all__ = ["log_likelihood"]

Array = NDArray[np.float64]

# What a reading that the hypothesis makes impossible costs, in natural logarithms: people do write down impossible
# readings now and then, about once in a thousand (common practice, no source).
_IMPOSSIBLE = -7.0
# An unknown fault spreads every reading ten times as wide as a good unit's.
_UNKNOWN_SPREAD = 10.0
# Share of the steel's and the copper's doubt that moves all points of one kind together.
_COMMON = 0.9
_STACK_RULE = 0.6e-3
_GOOD_INSULATION = 3e7
# What it speaks against low insulation elsewhere that one pair, read alone, is as low; natural logarithm.
_PAIR_NAMED = 4.0
# Natural logarithms: that low insulation of one body alone is to the core, and that a third one is low beside a pair.
_TO_THE_CORE = -1.0
_BESIDE_A_PAIR = -3.0
# Of one turn between the ends of an open screen, and of the foil's ohms as calculated; common practice, no source.
_U_OPEN_SCREEN = 0.01
_U_FOIL = 0.3


def log_likelihood(
    hypothesis: Hypothesis, model: Expectation, design: Expectation, steps: tuple[StepResult, ...]
) -> float:
    """ln of the probability density of all readings under a hypothesis, up to a constant shared by all hypotheses.

    model: the readings that the hypothesis expects;  design: those of a good unit.  Readings laid to the reading itself
    speak only for or against reading_wrong and supply_wrong.
    """
    spread = _UNKNOWN_SPREAD if hypothesis.fault == "unknown" else 1.0
    judged = [step for step in steps if step.verdict is not Verdict.TROUBLE]
    total = _trouble(hypothesis, steps)
    total += _resistances(model, judged, spread)
    total += _turns(model, design, judged, spread)
    total += _polarities(hypothesis, model, judged)
    total += _exciting(model, judged, spread)
    total += _watts(model, judged, spread)
    flashed = any(_flashed(step) for step in judged)
    if flashed:
        # An insulation tester may well see nothing of what flashes over at more volts.
        total += 0.0 if hypothesis.low_insulation else 2 * _IMPOSSIBLE
    tested = [
        step for step in judged if not (flashed and hypothesis.low_insulation and step.id.startswith("insulation:"))
    ]
    total += _insulation(hypothesis, [step for step in tested if _to_all_the_rest(step) and step.measured is not None])
    for step in tested:
        if step.id.startswith("insulation:") and step.measured is not None and not _to_all_the_rest(step):
            total += _pair(hypothesis, step)
        elif step.id == "stack_height" and step.measured is not None and model.stack is not None:
            total += _gaussian((step.measured - model.stack) / math.hypot(step.u, _STACK_RULE), spread)
        elif step.quantity == "screen_volts" and step.measured is not None:
            total += _screen(hypothesis, step)
        elif step.id.startswith(("earthed:", "screen_foil:")):
            total += _unearthed(hypothesis, step)
        elif step.id == "first_power" and step.verdict is Verdict.REJECTED:
            total += 0.0 if hypothesis.variant.loop_conductance > 0 else _IMPOSSIBLE
    return total


def _flashed(step: StepResult) -> bool:
    return step.id.startswith("hipot:") and step.verdict is Verdict.REJECTED and step.measured is None


def _gaussian(z: float, spread: float) -> float:
    # A tail of gross errors: no single reading can weigh more than an impossible one.
    return max(-0.5 * (z / spread) ** 2, _IMPOSSIBLE * 2) - math.log(spread)


def _trouble(hypothesis: Hypothesis, steps: tuple[StepResult, ...]) -> float:
    total = 0.0
    for step in steps:
        if step.verdict is not Verdict.TROUBLE:
            continue
        about = "supply" if step.id == "frequency" else step.winding
        explained = bool(hypothesis.misread) and (
            hypothesis.misread == about or about.startswith(f"{hypothesis.misread}.")
        )
        total += 0.0 if explained else _IMPOSSIBLE
    if hypothesis.misread and not any(step.verdict is Verdict.TROUBLE for step in steps):
        # A wrong reading that shows nowhere: nothing speaks for it but that it is common.
        total += -2.0
    return total


def _resistances(model: Expectation, steps: list[StepResult], spread: float) -> float:
    """ln of resistances: an own doubt each, and one for all (mean turn) that is integrated out."""
    logs, own, common = [], [], 0.0
    total = 0.0
    for step in steps:
        if not step.id.startswith("resistance:"):
            continue
        expected = model.spans[step.winding].resistance
        if step.measured is None:
            total += 0.0 if expected == math.inf else _IMPOSSIBLE * 2
        elif expected is not None:
            if not math.isfinite(expected) or step.measured <= 0:
                total += _IMPOSSIBLE * 2
                continue
            span = model.spans[step.winding]
            logs.append(math.log(step.measured / expected))
            own.append(math.hypot(step.u / step.measured, span.u_log_resistance * 0.7))
            common = span.u_log_resistance * 0.7
    return total + _with_common(np.array(logs), np.array(own), common, spread)


def _with_common(residuals: Array, own: Array, common: float, spread: float) -> float:
    """Gaussian with an own standard deviation each and a shared one, residuals bounded as gross errors are.

    Its width is left out: it is the same for all hypotheses, save where `_log_width` is added.
    """
    if residuals.size == 0:
        return 0.0
    covariance = (np.diag(own**2) + common**2) * spread**2
    bound = math.sqrt(-4 * _IMPOSSIBLE)
    scale = np.sqrt(np.diag(covariance))
    clipped = np.clip(residuals, -bound * scale, bound * scale)
    return -0.5 * float(clipped @ np.linalg.solve(covariance, clipped)) - residuals.size * math.log(spread)


def _log_width(own: Array, common: float) -> float:
    """Half the log determinant: what a hypothesis gains that expects a narrower reading."""
    _, log_determinant = np.linalg.slogdet(np.diag(own**2) + common**2)
    return 0.5 * float(log_determinant)


def _turns(model: Expectation, design: Expectation, steps: list[StepResult], spread: float) -> float:
    """Turns by ratio, and again by the volts at nominal: whole turns, so only the meter's doubt counts."""
    total = 0.0
    for step in _best_turns(steps):
        kind, name = step.id.split(":", 1)
        share = abs(model.ratio(name)) if math.isfinite(model.spans[name].resistance or 0.0) else 0.0
        assert step.measured is not None
        volts = step.at_volts or model.voltage
        # The step took the design's drop in the primary for granted; a fault that draws watts makes another one.
        share *= (1 - model.drop(volts)) / (1 - design.drop(volts))
        scale = design.design_fed_turns if kind == "ratio" else model.voltage * (1 - design.drop(model.voltage))
        drawn = abs(design.ratio(name))
        # Leakage takes its part; an open winding still shows what it picks up from its neighbours.
        u = math.hypot(step.u / scale / drawn, (design.leakage(volts) / 3**0.5 + 2e-4) if share else 0.05)
        total += _gaussian((step.measured / scale - share) / drawn / u, spread)
    return total


def _best_turns(steps: list[StepResult]) -> list[StepResult]:
    """For each winding the sharper of its two readings: both see the same turns with the same meter."""
    best: dict[str, StepResult] = {}
    for step in steps:
        if step.measured is None or not step.expected or not step.id.startswith(("ratio:", "open_circuit:")):
            continue
        known = best.get(step.winding)
        if known is None or step.u / step.expected < known.u / (known.expected or 1.0):
            best[step.winding] = step
    return list(best.values())


def _polarities(hypothesis: Hypothesis, model: Expectation, steps: list[StepResult]) -> float:
    if hypothesis.fault == "unknown":
        return -1.0
    total = 0.0
    for step in steps:
        if step.id.startswith("polarity:") and step.measured is not None:
            reversed_here = model.reversed_against_design(step.winding)
            measured_reversed = step.measured < 0
            total += 0.0 if reversed_here == measured_reversed else _IMPOSSIBLE * 2
    return total


def _exciting(model: Expectation, steps: list[StepResult], spread: float) -> float:
    """ln of exciting currents: the steel moves all points together, the shape of its curve each a little."""
    if model.curve is None:
        return 0.0
    logs, own, common = [], [], []
    for step in steps:
        if step.id.startswith("exciting:") and step.measured and step.at_volts:
            u = model.curve.u_log_current_at(step.at_volts)
            logs.append(math.log(step.measured / model.curve.current_at(step.at_volts)))
            own.append(math.hypot(step.u / step.measured, u * math.sqrt(1 - _COMMON**2)))
            common.append(u * _COMMON)
    if not logs:
        return 0.0
    own_array, shared = np.array(own), float(np.mean(common))
    return _with_common(np.array(logs), own_array, shared, spread) - _log_width(own_array, shared)


def _watts(model: Expectation, steps: list[StepResult], spread: float) -> float:
    total = 0.0
    for step in steps:
        low = step.id == "low_watts"
        if not low and step.id != "core_watts":
            continue
        if step.measured is not None and step.at_volts and model.curve is not None:
            expected = model.curve.watts_at(step.at_volts)
            u = math.hypot(model.curve.u_log_watts_at(step.at_volts), step.u / expected, model.u_log_drop if low else 0)
            deviation = math.log(max(step.measured, 0.05 * expected) / expected)
            total += _gaussian(deviation / u, spread) - math.log(u)
    return total


def _to_all_the_rest(step: StepResult) -> bool:
    """Whether the reading is of one body to all others, and not of a pair."""
    return step.id == f"insulation:{step.winding}" and not step.label.startswith("insulation between")


def _pair(hypothesis: Hypothesis, step: StepResult) -> float:
    """Insulation of two bodies alone."""
    if step.verdict is not Verdict.REJECTED:
        return 0.0
    if not hypothesis.low_insulation:
        return _IMPOSSIBLE
    named = step.id == f"insulation:{hypothesis.low_insulation}-{hypothesis.other_side}"
    return 0.0 if named else -_PAIR_NAMED


def _screen(hypothesis: Hypothesis, step: StepResult) -> float:
    """Volts between the ends of a screen, in turns: one, less what closes it; no other fault touches them."""
    assert step.measured is not None
    concerned = hypothesis.fault == "screen_closed" and hypothesis.winding == step.winding
    share = hypothesis.screen_share if concerned else 1.0
    u = math.hypot(step.u, _U_OPEN_SCREEN, _U_FOIL * (1 - share))
    return _gaussian((step.measured - share) / u, 1.0) - math.log(u)


def _unearthed(hypothesis: Hypothesis, step: StepResult) -> float:
    """Ohms to earth, and through the foil: open only where the screen is not joined."""
    concerned = hypothesis.fault == "screen_unearthed" and hypothesis.winding == step.winding
    opened = step.verdict is Verdict.REJECTED
    if opened:
        return 0.0 if concerned else _IMPOSSIBLE
    # A lead broken off shows in one of the two readings at least, where both ends are out.
    return -1.0 if concerned else 0.0


def _insulation(hypothesis: Hypothesis, steps: list[StepResult]) -> float:
    """Each body to all the rest: low between two shows from both sides, low to the core from one."""
    low = {step.winding for step in steps if (step.measured or 0.0) < _GOOD_INSULATION}
    good = {step.winding for step in steps} - low
    if not hypothesis.low_insulation:
        return _IMPOSSIBLE * len(low)
    sides = {hypothesis.low_insulation, hypothesis.other_side}
    total = _IMPOSSIBLE * len(good & sides)
    if not hypothesis.other_side:
        return total + (0.0 if low - sides else _TO_THE_CORE)
    return total + _BESIDE_A_PAIR * len(low - sides)
