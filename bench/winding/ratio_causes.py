"""What would explain volts that disagree with the count, each with its size, in the order in which they fit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.winding.check_values import COVERAGE, Cause, Counted, Explanation, Says
from bench.winding.ohms_causes import ranked

__all__ = ["VoltsCase", "causes_of"]

_HALF_TURN_SEEN = 0.25
"""Doubt with k = 2 up to which half a turn can be told from a whole one [turns]."""

# They set the order of what fits about equally well and nothing else (common practice, no source).
_LAYERS = {1: 0.3, 2: 0.06}
_HALF = 0.02
_LEADS = 0.3
_FED = 0.3


@dataclass(frozen=True)
class VoltsCase:
    """difference: turns that the volts say over those counted, u its doubt;  reference: count of what the turns are
    worked out from;  between: turns between other leads of the winding, with their names;  taps: those at the ends of
    a section that is judged by its share in the whole, with +1 where the section ends at it, -1 where it begins."""

    difference: float
    u: float
    says: Says
    counted: Counted
    reference: Counted
    reference_name: str
    layer: float
    layers: int
    between: tuple[tuple[str, int], ...]
    taps: tuple[tuple[str, int], ...] = ()


def causes_of(case: VoltsCase) -> tuple[Explanation, ...]:
    """All that fit to within k = 2, best first."""
    if case.taps:
        return ranked([*_taps(case), *_leads(case)])
    return ranked([*_turns(case), *_half(case), *_layers(case), *_leads(case), *_fed(case)])


def _taps(case: VoltsCase) -> list[Explanation]:
    """A section whose share in a whole that is right is too large ends late or begins early."""
    reach, density = COVERAGE * case.u, 1 / case.counted.turns
    found = []
    for tap, side in case.taps:
        late = side * case.difference
        found.append(Explanation(Cause.TAP_PLACE, late, late - reach, late + reach, density, tap))
    return found


def _turns(case: VoltsCase) -> list[Explanation]:
    """A whole number of turns, as windings differ from their counts by; any of them as likely as another."""
    d, reach = case.difference, COVERAGE * case.u
    low, high = math.ceil(d - reach), math.floor(d + reach)
    if not case.counted.certain:
        return [Explanation(Cause.TURNS, d, d - reach, d + reach, 1 / case.counted.turns)]
    whole = [n for n in range(low, high + 1) if n]
    if not whole:
        return []
    density = sum(_normal(d - n, case.u) for n in whole) / case.counted.turns
    best = min(whole, key=lambda n: abs(d - n))
    return [Explanation(Cause.TURNS, best, whole[0], whole[-1], density)]


def _half(case: VoltsCase) -> list[Explanation]:
    """Start and finish on opposite sides of the core: half a turn more or less than was counted."""
    if not case.counted.certain or COVERAGE * case.u > _HALF_TURN_SEEN:
        return []
    for size in (-0.5, 0.5):
        if abs(case.difference - size) <= COVERAGE * case.u:
            return [Explanation(Cause.HALF_TURN, size, size, size, _HALF * _normal(case.difference - size, case.u))]
    return []


def _layers(case: VoltsCase) -> list[Explanation]:
    found = []
    for layers, weight in _LAYERS.items() if case.layers > 1 else ():
        for cause, sign in ((Cause.LAYER_MISSING, -1), (Cause.LAYER_DOUBLE, 1)):
            found += _if_fits(case, cause, layers, sign * layers * case.layer, weight)
    return found


def _leads(case: VoltsCase) -> list[Explanation]:
    found = []
    for leads, turns in case.between:
        found += _if_fits(case, Cause.LEADS_ON_TAP, turns, turns - case.counted.turns, _LEADS, leads)
    return found


def _fed(case: VoltsCase) -> list[Explanation]:
    """The other winding's count instead: its volts are as far out the other way."""
    if not (case.reference.bounded and case.says.low > 0):
        return []
    size, low, high = (
        case.reference.turns * (case.counted.turns / turns - 1)
        for turns in (case.says.turns, case.says.high, case.says.low)
    )
    scale = case.reference.turns / case.counted.turns
    u = case.u * scale
    # Turns are whole: where none lies between, its count explains nothing.
    if case.reference.certain and math.ceil(low) > math.floor(high):
        return []
    nearest = round(size)
    whole = _normal(size - nearest, u) if u < 0.5 and case.reference.certain else 1.0
    return [Explanation(Cause.FED_TURNS, size, low, high, _FED * whole / case.reference.turns, case.reference_name)]


def _if_fits(
    case: VoltsCase, cause: Cause, size: float, difference: float, weight: float, what: str = ""
) -> list[Explanation]:
    if abs(case.difference - difference) > COVERAGE * case.u:
        return []
    return [Explanation(cause, size, size, size, weight * _normal(case.difference - difference, case.u), what)]


def _normal(distance: float, u: float) -> float:
    return math.exp(-0.5 * (distance / u) ** 2) / (u * math.sqrt(2 * math.pi))
