"""What would explain ohms that disagree with the count, each with its size, in the order in which they fit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.wire import Wire, size_steps
from bench.magnetics.copper import ZERO_RESISTANCE_CELSIUS
from bench.winding.check_values import COVERAGE, Cause, Counted, Explanation, Says
from bench.winding.wound_length import WoundLength

__all__ = ["OhmsCase", "causes_of", "ranked"]

# How much the count, a layer and so on may be out before anything is read; they set the order of what fits about
# equally well and nothing else (common practice, no source).
_COUNT_OUT = 1.0
"""A count may be out by any fraction up to this, each as likely."""
_USUAL_STRAIN = 0.01
_TEARS = 0.10
"""Soft copper tears at 10 to 30 % (from memory)."""
_USUAL_IN_SERIES = 0.5
"""Ohms of a poor joint or of leads."""
_U_TEMPERATURE_MISTAKEN = 15.0
"""Kelvin by which the temperature of a winding that was soldered or dried is taken wrongly."""
_COLDEST, _HOTTEST = 0.0, 120.0
_LAYERS = {1: 1.0, 2: 0.2}
_SHORTED_LAYER = 0.4
"""Against a layer missing: 0.04 to 0.09, the priors of shorted and of wrong turns in profiles/limits."""
_STRAND = 1.0
_STEPS = {1: 0.5, -1: 0.5, 2: 0.2, -2: 0.2}

_KELVIN = 273.15


@dataclass(frozen=True)
class OhmsCase:
    """shift: logarithm of the wire that the ohms say over the wire that was counted;  u: its standard uncertainty;
    says, counted [turns];  ohms: of the winding, leads taken off;  temperature [K] of its copper."""

    shift: float
    u: float
    says: Says
    counted: Counted
    wound: WoundLength
    wire: Wire
    strands: int
    ohms: float
    temperature: float


def causes_of(case: OhmsCase) -> tuple[Explanation, ...]:
    """All that fit to within k = 2, best first.  A size that is free fits whatever was read: it is weighed by how
    likely such a size is at all, which is why one layer goes before `some turns` where the ohms say just a layer."""
    found = [*_turns(case), *_layers(case), *_strands(case), *_wire(case), *_drawn_out(case), *_warmer(case)]
    return ranked([*found, *_in_series(case)])


def ranked(found: list[Explanation]) -> tuple[Explanation, ...]:
    """Best first, the best with weight 1."""
    best = max((one.weight for one in found), default=0.0)
    if best <= 0:
        return tuple(found)
    ordered = sorted(found, key=lambda one: -one.weight)
    return tuple(Explanation(o.cause, o.size, o.low, o.high, o.weight / best, o.what) for o in ordered)


def _turns(case: OhmsCase) -> list[Explanation]:
    says, counted = case.says, case.counted
    return [
        Explanation(
            Cause.TURNS, says.turns - counted.turns, says.low - counted.high, says.high - counted.low, 1 / _COUNT_OUT
        )
    ]


def _layers(case: OhmsCase) -> list[Explanation]:
    wound, turns = case.wound, case.counted.turns
    if len(wound.layers) < 2:
        return []
    whole = wound.length(turns)
    # Which layer it was is not known: a middle one is taken, and the spread between them goes into the doubt.
    middle = sum(wound.mean_turns) / len(wound.mean_turns)
    spread = (max(wound.mean_turns) - min(wound.mean_turns)) / math.sqrt(12.0)
    found = []
    for layers, weight in _LAYERS.items():
        part = layers * wound.full * middle / whole
        u = math.hypot(case.u, layers * wound.full * spread / whole)
        if part < 0.9:
            less = math.log(1 - part)
            found += _if_fits(case, Cause.LAYER_MISSING, layers, less, u, weight)
            if layers == 1:
                found += _if_fits(case, Cause.LAYER_SHORTED, layers, less, u, _SHORTED_LAYER)
        found += _if_fits(case, Cause.LAYER_DOUBLE, layers, math.log(1 + part), u, weight)
    return found


def _strands(case: OhmsCase) -> list[Explanation]:
    found = []
    for out in range(1, case.strands):
        found += _if_fits(
            case, Cause.STRAND_OPEN, out, math.log(case.strands / (case.strands - out)), case.u, _STRAND / out
        )
    return found


def _wire(case: OhmsCase) -> list[Explanation]:
    found = []
    for steps, weight in _STEPS.items():
        try:
            other = size_steps(case.wire, steps)
        except ValueError:
            continue
        shift = 2 * math.log(case.wire.diameter / other.diameter)
        found += _if_fits(case, Cause.WIRE_SIZE, steps, shift, case.u, weight, other.name)
    return found


def _drawn_out(case: OhmsCase) -> list[Explanation]:
    """Turns have the length that they have: wire drawn out by x % has x % more ohms in them."""
    low, high = (math.expm1(case.shift + side * COVERAGE * case.u) for side in (-1, 1))
    if case.shift <= 0 or low > _TEARS:
        return []
    weight = _exponential(case.shift, case.u, _USUAL_STRAIN)
    return [Explanation(Cause.STRETCHED, math.expm1(case.shift), max(0.0, low), high, weight)]


def _in_series(case: OhmsCase) -> list[Explanation]:
    low, high = (-case.ohms * math.expm1(-case.shift - side * COVERAGE * case.u) for side in (-1, 1))
    if case.shift <= 0:
        return []
    weight = _exponential(case.shift, case.u, _USUAL_IN_SERIES / case.ohms)
    return [Explanation(Cause.IN_SERIES, -case.ohms * math.expm1(-case.shift), max(0.0, low), high, weight)]


def _warmer(case: OhmsCase) -> list[Explanation]:
    over_zero = ZERO_RESISTANCE_CELSIUS + case.temperature - _KELVIN
    size, low, high = (over_zero * math.expm1(case.shift + side * COVERAGE * case.u) for side in (0, -1, 1))
    celsius = case.temperature - _KELVIN
    if not _COLDEST <= celsius + size <= _HOTTEST:
        return []
    weight = _normal(case.shift, math.hypot(case.u, _U_TEMPERATURE_MISTAKEN / over_zero))
    return [Explanation(Cause.WARMER, size, low, high, weight)]


def _if_fits(
    case: OhmsCase, cause: Cause, size: float, shift: float, u: float, weight: float, what: str = ""
) -> list[Explanation]:
    if abs(case.shift - shift) > COVERAGE * u:
        return []
    return [Explanation(cause, size, size, size, weight * _normal(case.shift - shift, u), what)]


def _normal(distance: float, u: float) -> float:
    return math.exp(-0.5 * (distance / u) ** 2) / (u * math.sqrt(2 * math.pi))


def _exponential(shift: float, u: float, mean: float) -> float:
    """Density of a shift that is exponential with this mean, read with a normal doubt u."""
    rate = 1 / mean
    behind = 0.5 * math.erfc((rate * u - shift / u) / math.sqrt(2.0))
    if behind == 0:
        return 0.0
    return math.exp(rate * (rate * u**2 / 2 - shift) + math.log(rate) + math.log(behind))
