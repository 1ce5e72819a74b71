"""Further measurements: which one would tell most, for what it costs in minutes and in risk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from bench.diagnosis.advisable import Further, advisable
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Expectation, Variant

__all__ = ["Further", "Worth", "most_worth"]

_LEAST_BITS = 0.02


@dataclass(frozen=True)
class Worth:
    """A measurement with what it is expected to tell, in bits."""

    further: Further
    bits: float

    @property
    def per_cost(self) -> float:
        return self.bits / (self.further.minutes + self.further.risk)


def most_worth(
    case: Case,
    weighed: Sequence[tuple[Hypothesis, float]],
    forward: Callable[[Variant], Expectation],
) -> list[Worth]:
    """All measurements that would tell anything, the best for its cost first."""
    likely = [(one, probability) for one, probability in weighed if probability > 1e-4]
    models = [forward(one.variant) for one, _ in likely]
    shares = np.array([probability for _, probability in likely])
    places = np.unique([f"{one.fault} {one.winding}" for one, _ in likely], return_inverse=True)[1]
    found = []
    for further in advisable(case, [one for one, _ in likely]):
        means = [further.outcome(one, model) for (one, _), model in zip(likely, models, strict=True)]
        known = np.array([mean is not None for mean in means])
        bits = _of_faults(further, np.array([mean or 0.0 for mean in means])[known], shares[known], places[known])
        if bits > _LEAST_BITS:
            found.append(Worth(further, bits))
    return sorted(found, key=lambda one: -one.per_cost)


def _of_faults(further: Further, means: np.ndarray, shares: np.ndarray, places: np.ndarray) -> float:
    """What it tells of fault and place: of all that it tells, less what it tells of the sizes of each (chain rule)."""
    bits = further.bits(means, shares) * float(shares.sum())
    for place in np.unique(places):
        of_it = places == place
        bits -= further.bits(means[of_it], shares[of_it]) * float(shares[of_it].sum())
    return bits
