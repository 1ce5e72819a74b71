"""Wire thinner or thicker than drawn: watts in the copper, volts on load, and the current that it bears."""

from __future__ import annotations

import math

from bench.diagnosis.remedies.unit import Unit
from bench.diagnosis.remedies.words import UNPLUGGED, instead, on_load, rated_current, stripping
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    factor = unit.variant.resistance_factor.get(place)
    now, drawn = unit.as_it_is.spans[place].resistance, unit.design.spans[place].resistance
    if factor is None or now is None or drawn is None:
        return ()
    told = unit.secondaries if place == unit.design.fed else (place,)
    amps = rated_current(unit.job, place)
    lost = (
        ""
        if amps is None
        else f"{instead(now * amps**2, drawn * amps**2, 'W')} lost in {place} at {show(amps, 'A', 2)}"
    )
    cost = lost + on_load(unit, told) or f"{instead(now, drawn, 'ohm')}"
    if factor < 1:
        return (f"leave it where it fits the window, thicker wire loses less: {cost}",)
    found = [f"leave it: {cost}"]
    if amps is not None:
        found.append(
            f"let it carry {show(amps / math.sqrt(factor), 'A', 2)} instead of {show(amps, 'A', 2)}: its copper is "
            "then no warmer than drawn"
        )
    strip = stripping(unit, place)
    return (
        *found,
        f"{UNPLUGGED}take the core out, {f'{strip}, ' if strip else ''}wind {place} anew with the wire drawn",
    )
