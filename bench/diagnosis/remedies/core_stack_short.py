"""Less steel than drawn: more flux in what there is, fewer volts, or the missing laminations."""

from __future__ import annotations

import numpy as np

from bench.diagnosis.remedies.unit import Unit, open_volts
from bench.diagnosis.remedies.words import UNPLUGGED, instead
from bench.job.expectation import ExcitingCurve
from bench.quantities import show

__all__ = ["rungs"]

_KNEE_VOLTS, _KNEE_AMPS = 1.1, 1.5
"""The knee: where 10 % more volts take 50 % more current (rule for current transformers, IEC 61869-2; from memory)."""
_POINTS = 100


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    now, drawn = unit.as_it_is, unit.design
    if now.flux_density is None or drawn.flux_density is None or now.curve is None or drawn.curve is None:
        return ()
    volts = drawn.voltage
    amps = instead(now.curve.current_at(volts), drawn.curve.current_at(volts), "A")
    leave = f"leave it: {instead(now.flux_density, drawn.flux_density, 'T')} at nominal, exciting current {amps}"
    knee, as_drawn = _knee(now.curve), _knee(drawn.curve)
    if knee is not None:
        leave += f", the knee at {show(knee, 'V', 3)}"
        leave += f" instead of {show(as_drawn, 'V', 3)}" if as_drawn is not None else " where the design has none"
    lower = volts * drawn_share(unit)
    told = unit.secondaries[-1]
    at_lower = instead(open_volts(now, told, lower), open_volts(drawn, told), "V")
    return (
        leave,
        f"feed it with {show(lower, 'V', 3)}, where the flux is as drawn: all secondaries fall alike, {told} "
        f"{at_lower}",
        f"{UNPLUGGED}take the core out and restack it with the missing laminations: flux and current as drawn",
    )


def drawn_share(unit: Unit) -> float:
    """Flux as drawn over that of the unit as it is, at the same volts."""
    assert unit.design.flux_density is not None
    assert unit.as_it_is.flux_density is not None
    return unit.design.flux_density / unit.as_it_is.flux_density


def _knee(curve: ExcitingCurve) -> float | None:
    """Volts [V] on the primary at the knee above half the curve's highest, None where the curve ends before it."""
    for volts in np.linspace(curve.voltage[-1] / 2, curve.voltage[-1] / _KNEE_VOLTS, _POINTS).tolist():
        if curve.current_at(volts * _KNEE_VOLTS) >= _KNEE_AMPS * curve.current_at(volts):
            return float(volts)
    return None
