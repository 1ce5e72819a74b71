"""Readings on load at low, nominal and high mains, each with its doubt, and why those that are left out are."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from bench.design.loaded import LoadedUnit
from bench.design.on_load_doubts import moved_units
from bench.design.rise_on_load import WARM, RiseOnLoad, rise_on_load
from bench.job.expected_reading import Foreseen, Kind
from bench.magnetics.on_load import MAINS_FACTORS, STEPS
from bench.magnetics.on_load_result import OnLoad
from bench.magnetics.periodic import NoSteadyState

__all__ = ["OnLoadReadings", "on_load_readings"]

_COARSE = 75
"""Steps of a cycle for what a doubt moves: of the changes in volts, currents, rails and efficiency of both example jobs
these leave 2 %, in ripple 15 %, at a quarter of the time."""

_UNSOLVED = (NoSteadyState, ArithmeticError, ValueError)


@dataclass(frozen=True)
class OnLoadReadings:
    """rows;  rises at each supply;  doubts: what the doubt of the rows holds, in words;  left_out: what is not among
    them or was taken for want of knowledge, and why."""

    rows: tuple[Foreseen, ...] = ()
    rises: tuple[RiseOnLoad, ...] = ()
    doubts: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Solved:
    """One supply: the unit as it is, and what each doubt moves, from a run as coarse as those that are moved."""

    at: str
    exact: OnLoad
    base: OnLoad
    moved: tuple[OnLoad, ...]
    doubts: tuple[str, ...]

    def row(self, kind: Kind, of: str, unit: str, read: Callable[[OnLoad], float]) -> Foreseen:
        u = math.hypot(*(read(one) - read(self.base) for one in self.moved))
        return Foreseen(kind, of, self.at, read(self.exact), u, unit)


def on_load_readings(unit: LoadedUnit, u_turns: Mapping[str, float]) -> OnLoadReadings:
    """Volts, currents, rails, ripple, efficiency and rise, copper at WARM.

    u_turns: standard uncertainty of turns, by winding.  A supply at which the loads can't be fed is left out.
    """
    rows: list[Foreseen] = []
    rises: list[RiseOnLoad] = []
    doubts: dict[str, None] = {}
    unsolved: dict[str, list[str]] = {}
    assert unit.job.supply is not None
    for factor in MAINS_FACTORS:
        at = f"{factor * unit.job.supply.voltage:.4g} V"
        try:
            solved = _solve(unit, factor, at, u_turns)
        except _UNSOLVED as problem:
            unsolved.setdefault(str(problem), []).append(at)
            continue
        doubts.update(dict.fromkeys(solved.doubts))
        rows.extend(_rows(solved))
        if unit.core is not None:
            rows.append(solved.row(Kind.EFFICIENCY, "whole unit", "1", lambda one: one.efficiency))
        rise = rise_on_load(unit, at, solved.exact, solved.base, solved.moved)
        if rise is not None:
            rises.append(rise)
    rows += [Foreseen(Kind.RISE, "whole unit", one.at, one.rise, one.u, "K") for one in rises if not one.beyond]
    left_out = [f"on load {one}" for one in unit.taken]
    left_out += [f"nothing on load at {', '.join(at)}: {problem}" for problem, at in unsolved.items()]
    left_out += [f"temperature rise on load at {one.at}: {one.beyond}" for one in rises if one.beyond]
    if unit.core is None:
        left_out.append("no efficiency and no rise on load without the core's loss")
    return OnLoadReadings(tuple(rows), tuple(rises), tuple(doubts), tuple(left_out))


def _solve(unit: LoadedUnit, factor: float, at: str, u_turns: Mapping[str, float]) -> _Solved:
    """Raises what `on_load` raises, too where a doubt moves a unit that just feeds its loads to where it does not."""
    exact = unit.solve(factor, WARM)
    moved = moved_units(unit, exact.flux_density, u_turns)
    doubts = tuple(one.what for one in moved)
    try:
        runs = [one.solve(factor, WARM, _COARSE) for one in (unit, *(each.unit for each in moved))]
    except _UNSOLVED:
        # So few steps may miss the steady state of a circuit that has one.
        runs = [exact, *(each.unit.solve(factor, WARM, STEPS) for each in moved)]
    return _Solved(at, exact, runs[0], tuple(runs[1:]), doubts)


def _rows(solved: _Solved) -> list[Foreseen]:
    rows: list[Foreseen] = []
    for name in solved.exact.windings:
        if name == solved.exact.fed:
            continue

        def volts(one: OnLoad, name: str = name) -> float:
            return one.windings[name].voltage

        def amps(one: OnLoad, name: str = name) -> float:
            return one.windings[name].current

        rows.append(solved.row(Kind.ON_LOAD, name, "V", volts))
        rows.append(solved.row(Kind.LOAD_CURRENT, name, "A", amps))
    for index, rail in enumerate(solved.exact.rails):

        def rail_volts(one: OnLoad, index: int = index) -> float:
            return one.rails[index].voltage

        def ripple(one: OnLoad, index: int = index) -> float:
            return one.rails[index].ripple

        rows.append(solved.row(Kind.RAIL, rail.winding, "V", rail_volts))
        rows.append(solved.row(Kind.RIPPLE, rail.winding, "V", ripple))
    return rows
