"""How often a rule decides wrongly, before anything is measured: the chances of one unit, the risks over many."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ndtr

__all__ = ["Chances", "Risks", "chances", "guard_band_for", "risks"]

_TAIL = 12.0  # standard uncertainties beyond which nothing is looked for


@dataclass(frozen=True)
class Chances:
    """Of one unit whose value is known: that it will be accepted, rejected, or left undecided. They add up to 1."""

    accepted: float
    rejected: float

    @property
    def undecided(self) -> float:
        return max(0.0, 1.0 - self.accepted - self.rejected)


@dataclass(frozen=True)
class Risks:
    """Over all units: outside the limits; outside and yet accepted (the consumer's); inside and not accepted
    (the producer's). Shares of all units, not of those outside or inside."""

    nonconforming: float
    consumer: float
    producer: float


def chances(true: float, u: float, lower: float | None, upper: float | None, guard: float) -> Chances:
    """What a measurement with standard uncertainty u (normal) will make of a unit of that true value.

    lower, upper: limits, None where there is none on that side;  guard w: accepted inside the limits by so much,
    rejected outside by as much.  All in one unit.  Raises ValueError.  Source: JCGM 106:2012, 8.3, for the rule.
    """
    low, high = _limits(lower, upper)
    if not (u > 0 and math.isfinite(u) and math.isfinite(true) and math.isfinite(guard)):
        raise ValueError(f"u = {u:g} at {true:g} with a guard band of {guard:g}, expected numbers and u more than 0")
    accepted = float(ndtr((high - guard - true) / u) - ndtr((low + guard - true) / u))
    rejected = float(ndtr((true - high - guard) / u) + ndtr((low - guard - true) / u))
    return Chances(max(0.0, accepted), min(1.0, rejected))


def risks(
    density: Callable[[float], float],
    support: tuple[float, float],
    u: float,
    lower: float | None,
    upper: float | None,
    guard: float = 0.0,
) -> Risks:
    """What the rule does over many units whose true values are spread as `density`, which is 0 outside `support`.

    The support may be infinite on either side.  The other arguments as for `chances`.
    Raises ValueError.  Source: JCGM 106:2012, 9.5 (global risks of consumer and producer).
    """
    low, high = _limits(lower, upper)
    start, end = support
    if not start < end:
        raise ValueError(f"units from {start:g} to {end:g}, expected the lower one first")

    def accepted(true: float) -> float:
        return density(true) * chances(true, u, lower, upper, guard).accepted

    outside = [(start, min(low, end)), (max(high, start), end)]
    inside = (max(low, start), min(high, end))
    conforming = _integral(density, *inside)
    return Risks(
        nonconforming=sum(_integral(density, *one) for one in outside),
        # Out there acceptance fades within some u of the limit, where a rule for the whole tail would miss it.
        consumer=_integral(accepted, max(start, low - _reach(u, guard)), min(low, end))
        + _integral(accepted, max(high, start), min(end, high + _reach(u, guard))),
        producer=conforming - _integral(accepted, *inside),
    )


def guard_band_for(
    consumer: float,
    density: Callable[[float], float],
    support: tuple[float, float],
    u: float,
    lower: float | None,
    upper: float | None,
) -> float:
    """The guard band w, 0 or more, that keeps the consumer's risk to so much; in the unit of u.

    0 where no guard band is needed.  Raises ValueError for a risk that is none, or that no guard band up to 12 u keeps.
    Source: JCGM 106:2012, 9.5.4 shows the calculation on an example.
    """
    if not 0 < consumer < 1:
        raise ValueError(f"a risk of {consumer:g}, expected between 0 and 1")

    def over(guard: float) -> float:
        return risks(density, support, u, lower, upper, guard).consumer - consumer

    if over(0.0) <= 0:
        return 0.0
    if over(_TAIL * u) > 0:
        raise ValueError(f"no guard band up to {_TAIL:g} u keeps the risk to {consumer:g}")
    return float(brentq(over, 0.0, _TAIL * u, xtol=1e-9 * u))


def _limits(lower: float | None, upper: float | None) -> tuple[float, float]:
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    if (lower is None and upper is None) or low > high:
        raise ValueError(f"limits {lower} and {upper}, expected one or both, the lower one first")
    return low, high


def _reach(u: float, guard: float) -> float:
    return _TAIL * u + max(0.0, -guard)


def _integral(of: Callable[[float], float], start: float, end: float) -> float:
    if not start < end:
        return 0.0
    return float(quad(of, start, end, limit=200, epsabs=1e-12)[0])
