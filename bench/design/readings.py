"""Every reading that a unit of a job should give, as a list with doubts."""

from __future__ import annotations

import math
from typing import Any

from bench.design.expected import expect
from bench.design.loaded import LoadedUnit, loaded_unit
from bench.job.expectation import Expectation, Span
from bench.job.expected_reading import Foreseen, Kind
from bench.job.model import Job
from bench.magnetics.on_load import MAINS_FACTORS
from bench.magnetics.on_load_result import OnLoad
from bench.magnetics.periodic import NoSteadyState
from bench.magnetics.thermal import estimate_rise, outer_surface

__all__ = ["WARM", "foreseen"]

WARM = 333.15
"""Copper at work [K]: 60 degC, a rise of 40 K in a room of 20 (common practice, no source)."""

_A_FEW_VOLTS = 0.05
"""Of nominal: where sums and differences are read, and where the core's permeability is low."""

_POINTS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.1)


def foreseen(job: Job, rules: dict[str, Any], turns_within: dict[str, float] | None = None) -> tuple[Foreseen, ...]:
    """Resistances, ratios, open-circuit volts, sums and differences, exciting curve, and volts on load.

    rules: a table of profiles/limits;  turns_within: half width of a count, by winding, where turns were counted and
    not designed.  Doubts: of resistance from wire and mean turn, of ratios from the drop, the leakage and the counts,
    of current and watts from steel, joints, stack and building factor, of volts on load from all copper together.
    Raises NotEnough; what a job does not allow to be worked out is left out.
    """
    expectation = expect(job, rules)
    u_turns = {name: half / math.sqrt(3.0) for name, half in (turns_within or {}).items()}
    unit = loaded_unit(job, rules)
    return (
        *_resistances(expectation),
        *_ratios(expectation, u_turns),
        *_sums(expectation, u_turns),
        *_curve(expectation),
        *(_on_load(unit, expectation) if unit is not None else ()),
    )


def _resistances(expectation: Expectation) -> list[Foreseen]:
    return [
        Foreseen(Kind.RESISTANCE, one.name, "", one.resistance, one.resistance * one.u_log_resistance, "ohm")
        for one in expectation.spans.values()
        if one.resistance is not None and math.isfinite(one.resistance)
    ]


def _ratios(expectation: Expectation, u_turns: dict[str, float]) -> list[Foreseen]:
    """At nominal supply: the fed winding's own drop takes a little from all others."""
    volts = expectation.voltage
    drop = expectation.drop(volts)
    rows = []
    for one in expectation.spans.values():
        if one.winding == expectation.fed:
            continue
        ratio = abs(expectation.ratio(one.name))
        u_log_turns = _u_log_turns(one, expectation, u_turns)
        rows.append(Foreseen(Kind.RATIO, one.name, "", ratio, ratio * u_log_turns, "1"))
        u_log = math.hypot(u_log_turns, drop * expectation.u_log_drop, expectation.leakage(volts) / math.sqrt(3.0))
        open_volts = volts * (1 - drop) * ratio
        rows.append(Foreseen(Kind.OPEN_CIRCUIT, one.name, f"{volts:g} V", open_volts, open_volts * u_log, "V"))
    return rows


def _sums(expectation: Expectation, u_turns: dict[str, float]) -> list[Foreseen]:
    """In series with the primary, aiding and bucking, for each volt on it; a few volts only: they join both sides."""
    rows = []
    for one in expectation.spans.values():
        if one.winding == expectation.fed or not one.whole:
            continue
        ratio = expectation.ratio(one.name)
        beside_the_core = expectation.leakage(_A_FEW_VOLTS * expectation.voltage) / math.sqrt(3.0)
        u = abs(ratio) * math.hypot(_u_log_turns(one, expectation, u_turns), beside_the_core)
        rows.append(Foreseen(Kind.SERIES_SUM, one.name, "a few volts", abs(1 + ratio), u, "1"))
        rows.append(Foreseen(Kind.SERIES_DIFFERENCE, one.name, "a few volts", abs(1 - ratio), u, "1"))
    return rows


def _curve(expectation: Expectation) -> list[Foreseen]:
    curve, rows = expectation.curve, []
    if curve is None:
        return []
    for share in _POINTS:
        volts = share * expectation.voltage
        amps, watts = curve.current_at(volts), curve.watts_at(volts)
        at = f"{volts:.4g} V, {expectation.frequency:g} Hz"
        rows.append(
            Foreseen(Kind.EXCITING_CURRENT, expectation.fed, at, amps, amps * curve.u_log_current_at(volts), "A")
        )
        rows.append(Foreseen(Kind.CORE_WATTS, expectation.fed, at, watts, watts * curve.u_log_watts_at(volts), "W"))
    return rows


def _on_load(unit: LoadedUnit, expectation: Expectation) -> list[Foreseen]:
    """At low, nominal and high mains, copper warm; the doubt is what all copper together moves it by."""
    rows: list[Foreseen] = []
    more_copper = 1 + unit.u_log_resistance
    for factor in MAINS_FACTORS:
        try:
            base = unit.solve(factor, WARM)
            moved = unit.solve(factor, WARM, more_copper)
        except (NoSteadyState, ArithmeticError, ValueError):
            continue  # a rail that can't give its current at low mains has no volts to foresee
        at = f"{factor * expectation.voltage:.4g} V"
        for name, winding in base.windings.items():
            if name == base.fed:
                continue
            other = moved.windings[name]
            rows.append(_row(Kind.ON_LOAD, name, at, winding.voltage, other.voltage, "V"))
            rows.append(_row(Kind.LOAD_CURRENT, name, at, winding.current, other.current, "A"))
        for rail, other_rail in zip(base.rails, moved.rails, strict=True):
            rows.append(_row(Kind.RAIL, rail.winding, at, rail.voltage, other_rail.voltage, "V"))
            rows.append(_row(Kind.RIPPLE, rail.winding, at, rail.ripple, other_rail.ripple, "V"))
        rows.append(_row(Kind.EFFICIENCY, "whole unit", at, base.efficiency, moved.efficiency, "1"))
        rows.extend(_rise(unit, base, at))
    return rows


def _rise(unit: LoadedUnit, base: OnLoad, at: str) -> list[Foreseen]:
    shape, stack = unit.job.core.shape, unit.job.core.stack
    if shape is None or stack is None:
        return []
    surface = outer_surface(shape.tongue, stack, shape.window_width, shape.window_height)
    try:
        rise = estimate_rise(surface, base.core_loss, base.copper_loss, 298.15, WARM)
    except ValueError:
        return []
    return [Foreseen(Kind.RISE, "whole unit", at, rise.rise, rise.u, "K")]


def _row(kind: Kind, of: str, at: str, value: float, moved: float, unit: str) -> Foreseen:
    return Foreseen(kind, of, at, value, abs(moved - value), unit)


def _u_log_turns(one: Span, expectation: Expectation, u_turns: dict[str, float]) -> float:
    own = u_turns.get(one.winding, 0.0) / abs(one.turns) if one.turns else 0.0
    fed = u_turns.get(expectation.fed, 0.0) / abs(expectation.fed_span.turns)
    return math.hypot(own, fed)
