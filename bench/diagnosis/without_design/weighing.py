"""Probabilities of all candidates from the readings of a unit without a design."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bench.diagnosis.likelihood import IMPOSSIBLE, Fit, anything_of
from bench.diagnosis.without_design.candidates import Candidate, candidates
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.foretelling import Copper, Foreteller, coppers
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.sections import breaks, explained, sections_of
from bench.diagnosis.without_design.spreads import U_TURNS_WRONG

__all__ = ["NOT_SHOWN", "Weighed", "weigh"]

NOT_SHOWN = "not shown"
"""The faults that none of these readings would show, together."""

# ln of how often a good winding is read as open: a clip on enamel, a lead out of its socket.  Common practice, no
# source.
_READ_AS_OPEN = -3.0
# A single reading that is off, of a unit that none of the known faults explains; as for a unit with a design.
_OFF_ALONE = math.log(0.25)


@dataclass(frozen=True)
class Weighed:
    """A candidate with its probability, under the ohms of the fed winding that fit it best;  turns: logarithm of
    what they are over what they should be, where it is about turns."""

    candidate: Candidate
    probability: float
    copper: Copper
    fit: Fit
    turns: float = 0.0


@dataclass(frozen=True)
class _Scored:
    candidate: Candidate
    log_prior: float
    log_likelihood: float
    copper: Copper
    fit: Fit

    @property
    def score(self) -> float:
        return self.log_prior + self.log_likelihood


def weigh(known: Known, compared: Compared, priors: dict[str, float]) -> list[Weighed]:
    """All candidates with their probabilities, which add up to one; what the readings can't show is one of them.

    priors: by fault, of profiles/limits; a fault that they lack is not weighed.
    """
    foreteller, copper = Foreteller(known, compared), coppers(known, compared)
    scored = [
        _score(one, math.log(priors[one.fault] * one.share), foreteller, copper, compared)
        for one in candidates(known, compared)
        if priors.get(one.fault, 0.0) > 0
    ]
    unseen = sum(priors.values()) - sum(math.exp(one.log_prior) for one in scored)
    if unseen > 1e-9:
        scored.append(_score(Candidate(NOT_SHOWN), math.log(unseen), foreteller, copper, compared))
    top = max(one.score for one in scored)
    weights = [math.exp(one.score - top) for one in scored]
    total = sum(weights)
    return [
        Weighed(one.candidate, weight / total, one.copper, one.fit, _turns_off(one, foreteller))
        for one, weight in zip(scored, weights, strict=True)
    ]


def _score(
    one: Candidate, log_prior: float, foreteller: Foreteller, coppers: tuple[Copper, ...], compared: Compared
) -> _Scored:
    """The mean likelihood over the ohms that the fed winding may have."""
    fits = [Fit(compared.evidence, foreteller.foretell(one, copper)) for copper in coppers]
    logs = [math.log(copper.weight) + _log_density(one, fit) for copper, fit in zip(coppers, fits, strict=True)]
    best = int(np.argmax(logs))
    whole = logs[best] + math.log(sum(math.exp(log - logs[best]) for log in logs))
    return _Scored(one, log_prior, whole + _log_signs(one, compared, foreteller.names), coppers[best], fits[best])


def _log_density(one: Candidate, fit: Fit) -> float:
    if one.fault == "unknown":
        several = fit.with_several_off()[0] if len(fit.evidence) > 1 else -math.inf
        return several if math.isfinite(several) else fit.log_density + _OFF_ALONE
    if one.misread is not None:
        pattern = np.zeros(len(fit.evidence))
        pattern[one.misread] = anything_of(fit.evidence)[one.misread]
        return fit.with_one_off(pattern)
    return fit.log_density


def _log_signs(one: Candidate, compared: Compared, names: tuple[str, ...]) -> float:
    """Of ohms over the meter's range, and of ohms that are there."""
    opened = one.change.opened
    total = IMPOSSIBLE * sum(breaks(opened, name) for name in compared.whole)
    # Open as a whole, at least one section is: none is left where all of them have ohms.
    sections = sections_of(opened, names) if opened else []
    total += IMPOSSIBLE * (bool(sections) and all(name in compared.whole for name in sections))
    for name in compared.opened:
        if explained(opened, name):
            continue
        total += _READ_AS_OPEN if one.misread_open == name or one.fault == "unknown" else 2 * IMPOSSIBLE
    return total


def _turns_off(one: _Scored, foreteller: Foreteller) -> float:
    """The share of turns that the readings make likeliest: the Gaussian prior of it and all readings together."""
    if not one.candidate.turns:
        return 0.0
    pattern = foreteller.turns_pattern(one.candidate, one.copper)
    covariance = one.fit.evidence.covariance + one.fit.predicted.covariance
    return float(U_TURNS_WRONG**2 * pattern @ np.linalg.solve(covariance, one.fit.residuals))
