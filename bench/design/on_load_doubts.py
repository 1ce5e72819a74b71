"""What is not known of a loaded unit, each moved by itself: runs whose changes add in squares."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from bench.design.loaded import LoadedUnit
from bench.magnetics.load import SILICON, Load, RectifierLoad

__all__ = ["U_LOG_LEAKAGE", "U_LOG_VALVE_SLOPE", "Moved", "moved_units"]

U_LOG_LEAKAGE = 0.10
"""Of the leakage by the window's field: the ends of the turns, outside the iron, alone take 7 % (finite elements of two
windings that nearly fill an EI 96, tests/outside/fields); the rest from memory."""

U_LOG_VALVE_SLOPE = 0.20
"""Of a rectifier valve's plate resistance: from tube to tube and over its life (from memory)."""


@dataclass(frozen=True)
class Moved:
    """A unit with one thing moved by its standard uncertainty;  what: of which, in words."""

    what: str
    unit: LoadedUnit


def moved_units(unit: LoadedUnit, flux_density: float, u_turns: Mapping[str, float]) -> tuple[Moved, ...]:
    """The unit with its copper, turns, core, leakage and valves moved, each by itself.

    flux_density [T] peak, where the doubt of the steel's field is taken;  u_turns: standard uncertainty of turns, by
    winding.  All copper moves together: one wire table and one hand.  Silicon's drop is not moved: its tenths of a volt
    count on low rails only.
    """
    moved = [Moved(f"copper {_percent(unit.u_log_resistance)}", unit.with_copper(1 + unit.u_log_resistance))]
    moved += [
        Moved("counted turns", unit.with_turns(one.name, 1 + u_turns[one.name] / one.turns))
        for one in unit.windings
        if u_turns.get(one.name)
    ]
    moved += [Moved("steel, joints, stack and core loss", one) for one in _cores(unit, flux_density)]
    if unit.leakage.any():
        moved.append(
            Moved(f"leakage {_percent(U_LOG_LEAKAGE)}", replace(unit, leakage=unit.leakage * (1 + U_LOG_LEAKAGE)))
        )
    for load in unit.loads:
        if isinstance(load, RectifierLoad) and load.diode != SILICON and load.diode.slope_resistance > 0:
            moved.append(Moved(f"slope of the diodes {_percent(U_LOG_VALVE_SLOPE)}", _with_steeper(unit, load)))
    return tuple(moved)


def _cores(unit: LoadedUnit, flux_density: float) -> list[LoadedUnit]:
    core = unit.core
    if core is None:
        return []
    steel = core.steel
    u_log_loss = math.hypot(steel.loss_log_spread, core.u_log_building)
    field = steel.field * math.exp(float(steel.field_log_spread(flux_density)))
    cores = (
        replace(core, steel=replace(steel, field=field)),
        replace(core, joint=core.joint + core.u_joint),
        replace(core, area=core.area * math.exp(-core.u_log_area)),
        replace(core, building_factor=core.building_factor * math.exp(u_log_loss)),
    )
    return [replace(unit, core=one) for one in cores]


def _percent(share: float) -> str:
    return f"{share * 100:.2g} %"


def _with_steeper(unit: LoadedUnit, load: RectifierLoad) -> LoadedUnit:
    slope = load.diode.slope_resistance * (1 + U_LOG_VALVE_SLOPE)
    steeper: Load = replace(load, diode=replace(load.diode, slope_resistance=slope))
    return replace(unit, loads=tuple(steeper if one is load else one for one in unit.loads))
