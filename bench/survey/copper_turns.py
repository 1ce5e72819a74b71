"""Turns of a winding that nobody counted, from its copper: ohms and geometry, or ohms and weight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.as_found import FoundWinding
from bench.job.core import Core
from bench.magnetics.copper import CONDUCTIVITY_20C, DENSITY, wire_resistance
from bench.survey.interval import Interval

__all__ = ["CopperTurns", "copper_turns", "turns_from_mass", "turns_from_section", "turns_from_wire", "wire_length"]

_U_LOG_MEAN_TURN_MEASURED = 0.02
_U_LOG_MEAN_TURN_GUESSED = 0.10
"""Of a mean turn that is taken from the middle of the window, since nobody measured it (common practice, no source)."""
_U_LOG_AREA = 0.04
"""Of the copper's section: 2 % in the diameter of a burnt and cleaned wire (common practice, no source)."""
_FILL = 0.60
_U_LOG_FILL = 0.15
"""Copper in the section of one winding, enamel and paper taken off (common practice, no source)."""
_U_LOG_MASS = 0.01


@dataclass(frozen=True)
class CopperTurns:
    """Turns of a winding by one way of working them out; `reason` says which."""

    winding: str
    turns: Interval
    reason: str


def wire_length(resistance: float, mass: float) -> float:
    """Length [m] of copper wire of `resistance` [ohm] at 20 degC and `mass` [kg].

    l = sqrt(R m gamma / d): from R = l / (gamma a) and m = d l a, the section a drops out.  gamma = 58e6 S/m,
    d = 8890 kg/m3 (IEC 60028:1925).  Raises ValueError.
    """
    if not (resistance > 0 and mass > 0):
        raise ValueError("resistance and mass must be more than 0")
    return math.sqrt(resistance * mass * CONDUCTIVITY_20C / DENSITY)


def turns_from_mass(resistance: Interval, mass: float, mean_turn: Interval) -> Interval:
    """Turns from the ohms [ohm] at 20 degC and the weight [kg] of the stripped copper: length over mean turn [m]."""
    turns = wire_length(resistance.value, mass) / mean_turn.value
    return Interval(turns, turns * math.hypot(0.5 * resistance.relative, 0.5 * _U_LOG_MASS, mean_turn.relative))


def turns_from_wire(resistance: Interval, diameter: float, strands: int, mean_turn: Interval) -> Interval:
    """Turns from the ohms at 20 degC and the bare wire [m]: R over the ohms of one mean turn."""
    turns = resistance.value / wire_resistance(mean_turn.value, diameter, strands)
    return Interval(turns, turns * math.hypot(resistance.relative, _U_LOG_AREA, mean_turn.relative))


def turns_from_section(resistance: Interval, section: float, mean_turn: Interval, fill: float = _FILL) -> Interval:
    """Turns of a winding whose section [m2] is known and whose wire is not: N = sqrt(R gamma fill S / mean turn).

    N a = fill S and R = N mean turn / (gamma a).  The root halves what is not known of fill and section, where turns
    from the wire would double an error in its diameter.
    """
    if not (section > 0 and 0 < fill < 1):
        raise ValueError(f"section {section:g} m2 and fill {fill:g}, expected more than 0, and fill below 1")
    turns = math.sqrt(resistance.value * CONDUCTIVITY_20C * fill * section / mean_turn.value)
    doubt = math.hypot(0.5 * resistance.relative, 0.5 * _U_LOG_FILL, 0.5 * mean_turn.relative)
    return Interval(turns, turns * doubt)


def copper_turns(winding: FoundWinding, core: Core, resistance: Interval | None) -> tuple[CopperTurns, ...]:
    """Every way that the evidence allows, best first; resistance [ohm] at 20 degC."""
    mean_turn = _mean_turn(winding, core)
    if resistance is None or mean_turn is None:
        return ()
    found = []
    if winding.copper_mass is not None:
        turns = turns_from_mass(resistance, winding.copper_mass, mean_turn)
        found.append(CopperTurns(winding.name, turns, "weight and ohms of the copper"))
    if winding.wire is not None:
        turns = turns_from_wire(resistance, winding.wire.diameter, winding.strands, mean_turn)
        found.append(CopperTurns(winding.name, turns, "ohms, wire and mean turn"))
    if winding.build is not None and winding.length is not None:
        turns = turns_from_section(resistance, winding.build * winding.length, mean_turn)
        found.append(CopperTurns(winding.name, turns, "ohms and room of the winding"))
    return tuple(sorted(found, key=lambda one: one.turns.relative))


def _mean_turn(winding: FoundWinding, core: Core) -> Interval | None:
    """As measured; else round the leg at the middle of the window."""
    if winding.mean_turn is not None:
        return Interval(winding.mean_turn, winding.mean_turn * _U_LOG_MEAN_TURN_MEASURED)
    shape, stack = core.shape, core.stack
    if shape is None or stack is None:
        return None
    middle = 2 * (shape.tongue + stack) + math.pi * shape.window_width
    return Interval(middle, middle * _U_LOG_MEAN_TURN_GUESSED)
