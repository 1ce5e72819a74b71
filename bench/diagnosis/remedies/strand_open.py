"""One of several wires in hand carries nothing: the others carry its share."""

from __future__ import annotations

import math

from bench.diagnosis.remedies.unit import Unit
from bench.diagnosis.remedies.words import UNPLUGGED, instead, on_load, rated_current, stripping
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    winding = unit.job.get_winding(place)
    n, amps = winding.strands, rated_current(unit.job, place)
    if n < 2:
        return ()
    told = unit.secondaries if place == unit.design.fed else (place,)
    price = on_load(unit, told).removeprefix("; ")
    found = []
    if amps is not None and winding.wire is not None:
        square_mm = math.pi / 4 * (winding.wire.diameter * 1e3) ** 2
        density = f"{amps / square_mm / (n - 1):.1f} A/mm2 instead of {amps / square_mm / n:.1f} A/mm2"
        now, drawn = unit.as_it_is.spans[place].resistance, unit.design.spans[place].resistance
        lost = "" if now is None or drawn is None else f", {instead(now * amps**2, drawn * amps**2, 'W')} lost in it"
        found.append(f"leave it: {density} at {show(amps, 'A', 2)}{lost}{f'; {price}' if price else ''}")
        found.append(
            f"let it carry {show(amps * (n - 1) / n, 'A', 2)} instead of {show(amps, 'A', 2)}: the density as drawn"
        )
    strip = stripping(unit, place)
    return (
        *found,
        f"{UNPLUGGED}clean all wires of both leads bare, solder them anew and read the ohms again: as drawn if it was "
        "the joint",
        f"{UNPLUGGED}where the break lies inside: take the core out, {f'{strip}, ' if strip else ''}unwind to it",
    )
