"""All counts and readings of a survey as one Gaussian network in the logarithms of the turns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bench.survey.evidence import AmpsPair, Counted, Evidence, VoltsPair

__all__ = ["KNOWN_LOG", "NO_SLIP", "Network", "Observation", "Posterior", "Slip", "observations_of"]

_PRIOR_LOG_TURNS = math.log(300.0)
_PRIOR_SPREAD = 3.0
"""Before anything is known a winding has 300 turns, a factor of e^3 either way: too wide to bear on any answer."""

KNOWN_LOG = 0.5
"""u of ln N above which nothing is said of a winding's turns."""

_LEAST = 1e-12
"""Variance that an exact count is given, so that the covariance can be inverted."""


@dataclass(frozen=True)
class Observation:
    """What was read or counted, as a sum of logarithms of turns: y = a . ln N, with the contributions to its doubt.

    kind: count, volts, amps, or sum of sections (and copper, usual for what is only expected);  winding;  fed.
    """

    kind: str
    winding: str
    fed: str
    coefficients: dict[str, float]
    y: float
    parts: dict[str, float]


@dataclass(frozen=True)
class Slip:
    """What may have gone wrong with observations: a known shift of y, or one of unknown size along a direction.

    shift, direction: observation number -> its part;  spread: standard deviation of the size, prior.
    """

    shift: dict[int, float] = field(default_factory=dict)
    direction: dict[int, float] = field(default_factory=dict)
    spread: float = 0.0


NO_SLIP = Slip()


@dataclass(frozen=True)
class Posterior:
    """Mean (n,) and covariance (n, n) of ln N of the windings;  log_evidence: of the observations;
    size, u_size: of the slip where it has an unknown one;  misfit: chi squared of what is left, with `freedom` degrees.
    """

    windings: tuple[str, ...]
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]
    log_evidence: float
    size: float = 0.0
    u_size: float = 0.0
    misfit: float = 0.0
    freedom: int = 0

    @property
    def fit_probability(self) -> float:
        """How often readings and counts would lie as far apart as these or farther, if nothing else were wrong."""
        if self.freedom < 1:
            return 1.0
        from scipy.special import chdtrc  # a quarter of a second, which a survey without counts need not wait

        return float(chdtrc(self.freedom, self.misfit))

    def turns(self, winding: str) -> float:
        return math.exp(float(self.mean[self.windings.index(winding)]))

    def u_log(self, winding: str) -> float:
        """u of ln N; large where nothing bears on the winding."""
        at = self.windings.index(winding)
        return math.sqrt(max(0.0, float(self.covariance[at, at])))


class Network:
    """Generalised least squares with the full covariance of the observations.

    ln N of all windings is estimated together from y = A x + e, e ~ N(0, V), V from the shared sources of doubt: the
    gain of one range stands in two readings and cancels in their ratio (JCGM 100:2008, 5.2.2; generalised least
    squares, any textbook of statistics).  A weak prior keeps unconnected windings finite.
    """

    def __init__(self, observations: Sequence[Observation], windings: Sequence[str]) -> None:
        self.observations = tuple(observations)
        self.windings = tuple(windings)
        sources = sorted({source for one in observations for source in one.parts})
        at = {source: n for n, source in enumerate(sources)}
        self._a = np.zeros((len(observations), len(windings)))
        jacobian = np.zeros((len(observations), max(1, len(sources))))
        for row, one in enumerate(observations):
            for winding, coefficient in one.coefficients.items():
                self._a[row, self.windings.index(winding)] = coefficient
            for source, part in one.parts.items():
                jacobian[row, at[source]] += part
        self._v = jacobian @ jacobian.T + _LEAST * np.eye(len(observations))
        self._y = np.array([one.y for one in observations])

    def without(self, numbers: set[int]) -> Network:
        """The same with some observations left out."""
        kept = [one for n, one in enumerate(self.observations) if n not in numbers]
        return Network(kept, self.windings)

    def solve(self, slip: Slip = NO_SLIP) -> Posterior:
        """Posterior of ln N, and of the slip's size, given that slip."""
        count, unknown = len(self.windings), 1 if slip.direction else 0
        design = np.hstack([self._a, np.zeros((len(self._y), unknown))])
        y = self._y.copy()
        for number, shift in slip.shift.items():
            y[number] -= shift
        for number, part in slip.direction.items():
            design[number, count] = part
        prior_mean = np.concatenate([np.full(count, _PRIOR_LOG_TURNS), np.zeros(unknown)])
        prior = np.diag(np.concatenate([np.full(count, _PRIOR_SPREAD**2), np.full(unknown, slip.spread**2)]))
        if not len(y):
            return Posterior(self.windings, prior_mean[:count], prior[:count, :count], 0.0)
        gram = design @ prior @ design.T + self._v
        factor = np.linalg.cholesky(gram)
        residue = np.linalg.solve(factor, y - design @ prior_mean)
        half = np.linalg.solve(factor, design @ prior)
        mean = prior_mean + half.T @ residue
        covariance = prior - half.T @ half
        evidence = -0.5 * float(residue @ residue) - float(np.log(np.diag(factor)).sum())
        left = y - design @ mean
        return Posterior(
            self.windings,
            mean[:count],
            covariance[:count, :count],
            evidence,
            size=float(mean[count]) if unknown else 0.0,
            u_size=math.sqrt(max(0.0, float(covariance[count, count]))) if unknown else 0.0,
            misfit=float(left @ np.linalg.solve(self._v, left)),
            freedom=len(y) - int(np.linalg.matrix_rank(design)),
        )


def observations_of(evidence: Evidence, drop: float, u_drop: float) -> list[Observation]:
    """Every count and reading; `drop`: fraction of its volts that the fed winding loses in its own resistance.

    A tapped winding is observed by its sections, and joined to them: its turns are their sum.
    """
    sections = {one.winding for one in evidence.counted if "." in one.winding}
    joined = {one.partition(".")[0] for one in sections}
    return [
        *(_count(one) for one in evidence.counted if one.winding not in joined),
        *(_volts(one, drop, u_drop) for one in evidence.volts if one.fed != one.winding),
        *(_amps(one) for one in evidence.amps),
        *(
            _sum(name, [one for one in evidence.counted if one.winding.startswith(f"{name}.")])
            for name in sorted(joined)
        ),
    ]


def _sum(name: str, sections: list[Counted]) -> Observation:
    """ln(sum of N) near the counted turns: a change of one section counts by its share."""
    whole = sum(one.turns for one in sections)
    shares = {one.winding: one.turns / whole for one in sections}
    y = math.log(whole) - sum(share * math.log(share * whole) for share in shares.values())
    return Observation("sum", name, "", {name: 1.0, **{one: -share for one, share in shares.items()}}, y, {})


def _count(one: Counted) -> Observation:
    """ln of the count.  A count is of whole or half turns: its doubt is that of the counting alone."""
    return Observation(
        "count", one.winding, "", {one.winding: 1.0}, math.log(one.turns), {f"count {one.winding}": one.u / one.turns}
    )


def _volts(one: VoltsPair, drop: float, u_drop: float) -> Observation:
    """ln(V / Vf) + drop = ln N - ln Nf: the other windings see the EMF, the fed one its terminal volts."""
    parts = _relative(one.volts.parts, one.volts.value)
    for source, part in _relative(one.fed_volts.parts, -one.fed_volts.value).items():
        parts[source] = parts.get(source, 0.0) + part
    parts[f"drop in {one.fed}"] = u_drop
    return Observation(
        "volts",
        one.winding,
        one.fed,
        {one.winding: 1.0, one.fed: -1.0},
        math.log(one.volts.value / one.fed_volts.value) + drop,
        parts,
    )


def _amps(one: AmpsPair) -> Observation:
    """N I is the same in both: ln N = ln n + ln(i coil / i winding)."""
    parts = _relative(one.coil_amps.parts, one.coil_amps.value)
    for source, part in _relative(one.amps.parts, -one.amps.value).items():
        parts[source] = parts.get(source, 0.0) + part
    # The exciting ampere turns stand between the two; with a short across the winding they are small.
    parts[f"exciting current beside {one.winding}"] = 0.01
    y = math.log(one.coil_turns * one.coil_amps.value / one.amps.value)
    return Observation("amps", one.winding, "", {one.winding: 1.0}, y, parts)


def _relative(parts: dict[str, float], value: float) -> dict[str, float]:
    return {source: part / value for source, part in parts.items()}
