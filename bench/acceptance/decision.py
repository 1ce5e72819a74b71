"""The decision rule: accepted, rejected, or this meter can't tell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from bench.acceptance.normal import share_below

__all__ = ["COVERAGE", "Decision", "Verdict", "decide"]

COVERAGE = 2.0
"""k: the expanded uncertainty is U = k u; the guard band is w = U (ILAC-G8:09/2019, clause recalled)."""


class Verdict(StrEnum):
    """Of a step or of a unit."""

    ACCEPTED = "accepted"
    REJECTED = "rejected"
    UNDECIDED = "undecided"
    TROUBLE = "trouble"
    NOT_DONE = "not done"
    INCOMPLETE = "incomplete"


@dataclass(frozen=True)
class Decision:
    """verdict, and the probability that the true value lies within the limits (JCGM 106, 7.2 and 7.4)."""

    verdict: Verdict
    probability: float


def decide(value: float, u: float, lower: float | None, upper: float | None) -> Decision:
    """Judge a value with standard uncertainty u against limits; None where there is none on that side.

    Accepted only when the value lies inside the limits by the guard band w = 2 u, rejected only when it lies outside by
    as much, undecided between.  Raises ValueError for u < 0, no limit at all, or limits the wrong way round.
    Source: JCGM 106:2012, 8.3 (guarded acceptance, guarded rejection).
    """
    if u < 0 or not math.isfinite(u):
        raise ValueError(f"standard uncertainty is {u}, expected 0 or more")
    if lower is None and upper is None:
        raise ValueError("no limit to judge against")
    if lower is not None and upper is not None and lower > upper:
        raise ValueError(f"lower limit {lower} is above the upper limit {upper}")
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if u == 0:
        probability = 1.0 if low <= value <= high else 0.0
    else:
        probability = share_below((high - value) / u) - share_below((low - value) / u)
    guard = COVERAGE * u
    if low + guard <= value <= high - guard:
        verdict = Verdict.ACCEPTED
    elif value < low - guard or value > high + guard:
        verdict = Verdict.REJECTED
    else:
        verdict = Verdict.UNDECIDED
    return Decision(verdict, probability)
