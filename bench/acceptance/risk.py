"""How often the decision rule goes wrong over many units, before anything is measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from scipy.integrate import quad
from scipy.optimize import brentq

from bench.acceptance.chances import chances, limits_between

__all__ = ["Risks", "guard_band_for", "risks"]

_TAIL = 12.0  # standard uncertainties beyond which nothing is looked for


@dataclass(frozen=True)
class Risks:
    """Over all units: outside the limits; outside and yet accepted (the consumer's); inside and not accepted
    (the producer's). Shares of all units, not of those outside or inside."""

    nonconforming: float
    consumer: float
    producer: float


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
    low, high = limits_between(lower, upper)
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


def _reach(u: float, guard: float) -> float:
    return _TAIL * u + max(0.0, -guard)


def _integral(of: Callable[[float], float], start: float, end: float) -> float:
    if not start < end:
        return 0.0
    return float(quad(of, start, end, limit=200, epsabs=1e-12)[0])
