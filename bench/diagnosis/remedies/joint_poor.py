"""A joint with ohms of its own: what it heats with at rated current, all in one place."""

from __future__ import annotations

from dataclasses import replace

from bench.diagnosis.remedies.unit import Unit
from bench.diagnosis.remedies.words import UNPLUGGED, on_load, rated_current, stripping
from bench.quantities import show

__all__ = ["rungs"]


def rungs(unit: Unit, place: str) -> tuple[str, ...]:
    ohms = _ohms(unit, place)
    if ohms is None:
        return ()
    winding = unit.design.spans[place].winding
    amps = rated_current(unit.job, winding)
    told = unit.secondaries if winding == unit.design.fed else (winding,)
    with_joint = replace(unit, variant=replace(unit.variant, ohms_added={**unit.variant.ohms_added, place: ohms}))
    left = f"{show(ohms, 'ohm', 2)} in one place"
    if amps is not None:
        left += f" make {ohms * amps**2:.2g} W of heat there at {show(amps, 'A', 2)}"
    strip = stripping(unit, winding)
    return (
        f"don't leave it, a poor joint gets worse: {left}{on_load(with_joint, told)}",
        f"{UNPLUGGED}clean the wire bare behind its lead, solder anew and read its ohms again: volts and ohms as drawn",
        f"{UNPLUGGED}where the joint lies inside {winding}: take the core out, {f'{strip}, ' if strip else ''}unwind "
        "to it and solder it anew",
    )


def _ohms(unit: Unit, place: str) -> float | None:
    """What was read over the design [ohm]; None where nothing was, or no more."""
    read = [
        one.measured - one.expected
        for one in unit.steps
        if one.quantity == "resistance" and one.winding == place and one.measured is not None and one.expected
    ]
    return read[-1] if read and read[-1] > 0 else None
