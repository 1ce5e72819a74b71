"""Probabilities of all hypotheses from the readings of one test."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import Evidence, Kind, evidence_of
from bench.diagnosis.faults import hypotheses
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.likelihood import Fit, anything_of, fits_of
from bench.diagnosis.other_signs import Signs
from bench.diagnosis.prediction import Predictor, Unexplained
from bench.diagnosis.turns_by_fit import TurnsByFit
from bench.job.expectation import Expectation, Variant

__all__ = ["Weighed", "together", "weigh"]

_NO_VARIANT = ("none", "unknown", "reading_wrong", "supply_wrong")
# Two faults are looked for where one alone leaves so much that it would happen to it once in a thousand.
_POOR_FIT = 3.1


@dataclass(frozen=True)
class Weighed:
    """A hypothesis with its probability;  fit: of the readings that have numbers."""

    hypothesis: Hypothesis
    probability: float
    fit: Fit


@dataclass(frozen=True)
class _Scored:
    hypothesis: Hypothesis
    log_prior: float
    log_likelihood: float
    fit: Fit

    @property
    def score(self) -> float:
        return self.log_prior + self.log_likelihood


def weigh(
    case: Case, priors: dict[str, float], unexplained: Unexplained, forward: Callable[[Variant], Expectation]
) -> list[Weighed]:
    """All hypotheses with their probabilities, which add up to one.

    priors: by fault, a fault that they lack is not weighed;  forward: the readings that a variant would give.
    """
    evidence = evidence_of(case.steps)
    predictor, signs = Predictor(evidence, case.design, unexplained, _rated(case)), Signs(case.steps)
    case = replace(case, turns_off=TurnsByFit(evidence, predictor, forward))
    candidates = [one for one in hypotheses(case) if priors.get(one.fault, 0.0) > 0 and one.share != 0]
    many = Counter(one.fault for one in candidates)
    shared = [priors[one.fault] * (one.share or 1 / many[one.fault]) for one in candidates]
    singles = [(one, math.log(prior)) for one, prior in zip(candidates, shared, strict=True)]
    scored = _scored(singles, evidence, predictor, signs, forward, case)
    if _poor(scored):
        scored += _scored(list(_pairs(scored)), evidence, predictor, signs, forward, case)
    top = max(one.score for one in scored)
    weights = [math.exp(one.score - top) for one in scored]
    total = sum(weights)
    return [Weighed(one.hypothesis, weight / total, one.fit) for one, weight in zip(scored, weights, strict=True)]


def _rated(case: Case) -> dict[str, float]:
    """Ohms that take the rated current at the rated volts, by winding."""
    return {
        one.name: one.rated_voltage / one.rated_current
        for one in case.job.secondaries
        if one.rated_voltage and one.rated_current
    }


def _scored(
    weighed: Sequence[tuple[Hypothesis, float]],
    evidence: Evidence,
    predictor: Predictor,
    signs: Signs,
    forward: Callable[[Variant], Expectation],
    case: Case,
) -> list[_Scored]:
    """Each with the logarithm of its prior."""
    models = [forward(hypothesis.variant) for hypothesis, _ in weighed]
    predicted = [predictor.predict(hypothesis, model) for (hypothesis, _), model in zip(weighed, models, strict=True)]
    return [
        _Scored(
            hypothesis, log_prior, _log_density(hypothesis, fit, case) + signs.log_probability(hypothesis, model), fit
        )
        for (hypothesis, log_prior), model, fit in zip(weighed, models, fits_of(evidence, predicted), strict=True)
    ]


def _log_density(hypothesis: Hypothesis, fit: Fit, case: Case) -> float:
    match hypothesis.fault:
        case "unknown":
            log_density = fit.with_several_off()[0] if len(fit.evidence) > 1 else -math.inf
            if not math.isfinite(log_density):
                log_density = fit.log_density + math.log(0.25)
        case "reading_wrong":
            # What was laid to the reading itself is not among the numbers: it explains no other.
            laid = any(one.verdict is Verdict.TROUBLE and _is_of(one, hypothesis.misread) for one in case.steps)
            log_density = fit.log_density if laid else _one_reading_off(fit, hypothesis.misread, case.design.fed)
        case _:
            log_density = fit.log_density
    return log_density


def _one_reading_off(fit: Fit, winding: str, fed: str) -> float:
    """The mean over the readings of a winding, one of which is off; of the fed one, all ratios that rest on it."""
    anything = anything_of(fit.evidence)
    patterns = []
    for row, one in enumerate(fit.evidence.observed):
        if _is_of(one.step, winding):
            pattern = np.zeros(len(fit.evidence))
            pattern[row] = anything[row]
            patterns.append(pattern)
    if winding == fed:
        for low in (True, False):
            rows = [row for row, one in fit.evidence.rows(Kind.TURNS) if one.low is low]
            if rows:
                pattern = np.zeros(len(fit.evidence))
                pattern[rows] = anything[rows]
                patterns.append(pattern)
    if not patterns:
        return fit.log_density
    scores = [fit.with_one_off(pattern) for pattern in patterns]
    top = max(scores)
    return top + math.log(sum(math.exp(one - top) for one in scores) / len(scores))


def _is_of(step: StepResult, winding: str) -> bool:
    return step.winding.partition(".")[0] == winding


def _poor(scored: list[_Scored]) -> bool:
    """Whether the best single explanation leaves more of the readings than chance would."""
    best = max((one for one in scored if one.hypothesis.fault not in _NO_VARIANT[1:]), key=lambda one: one.score)
    count = len(best.fit.evidence)
    # Wilson and Hilferty: the cube root of chi squared over its degrees is nearly normal.
    if not count:
        return False
    spread = 2 / (9 * count)
    return bool(((best.fit.misfit / count) ** (1 / 3) - (1 - spread)) / math.sqrt(spread) > _POOR_FIT)


def _pairs(scored: list[_Scored]) -> Iterable[tuple[Hypothesis, float]]:
    """The best single fault with each other one: what it leaves unexplained is then weighed anew."""
    singles = [one for one in scored if one.hypothesis.fault not in _NO_VARIANT]
    if not singles:
        return
    best = max(singles, key=lambda one: one.score)
    for other in singles:
        both = together(best.hypothesis, other.hypothesis)
        if both is not None:
            yield both, best.log_prior + other.log_prior


def together(one: Hypothesis, other: Hypothesis) -> Hypothesis | None:
    """Both at once; None where they are two sizes of one thing."""
    if one.fault == other.fault and one.winding == other.winding:
        return None
    a, b = one.variant, other.variant
    if (a.open_winding and b.open_winding) or (a.swapped and b.swapped):
        return None
    # Low insulation, a screen's earth and a screen's ends are told of one place each.
    if any(getattr(one, name) and getattr(other, name) for name in ("low_insulation", "unearthed", "closed_screen")):
        return None
    added = dict(a.turns_added)
    for name, turns in b.turns_added.items():
        added[name] = added.get(name, 0.0) + turns
    return replace(
        one,
        fault=f"{one.fault}+{other.fault}",
        winding=" + ".join(part for part in (one.winding, other.winding) if part),
        size=" + ".join(part for part in (one.size, other.size) if part),
        variant=replace(
            a,
            turns_added=added,
            reversed_spans=a.reversed_spans + b.reversed_spans,
            swapped=a.swapped or b.swapped,
            open_winding=a.open_winding or b.open_winding,
            joint_added=a.joint_added + b.joint_added,
            stack_factor=a.stack_factor * b.stack_factor,
            loop_conductance=a.loop_conductance + b.loop_conductance,
            resistance_factor=_times(a.resistance_factor, b.resistance_factor),
            ohms_added={**a.ohms_added, **b.ohms_added},
            field_factor=a.field_factor * b.field_factor,
            loss_factor=a.loss_factor * b.loss_factor,
        ),
        low_insulation=one.low_insulation or other.low_insulation,
        other_side=one.other_side or other.other_side,
        unearthed=one.unearthed or other.unearthed,
        closed_screen=one.closed_screen or other.closed_screen,
        screen_share=min(one.screen_share, other.screen_share),
        excess={**one.excess, **other.excess},
        fed_lost=one.fed_lost + other.fed_lost,
        share=None,
        parts=(one, other),
    )


def _times(one: dict[str, float], other: dict[str, float]) -> dict[str, float]:
    return {name: one.get(name, 1.0) * other.get(name, 1.0) for name in {**one, **other}}
