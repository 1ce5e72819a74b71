"""What a winding should read on a dozen laminations and a few volts, while it can still be unwound."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from bench.design.core_drawn import magnetic_core
from bench.design.plan import PlannedWinding, WindingPlan
from bench.design.sheet_thickness import sheet_thickness
from bench.magnetics.emf import emf, flux_density
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import exciting_curve
from bench.magnetics.steel import MU_0

__all__ = [
    "HIGHEST_TERMINAL",
    "LAMINATIONS",
    "SEARCH_COIL",
    "SEARCH_COIL_TURNS",
    "Trial",
    "TrialReading",
    "sheet_thickness",
    "trials",
]

LAMINATIONS = 12
"""Laminations that are put in for the trial, E and I closed (common practice, no source)."""

HIGHEST_TERMINAL = 25.0
"""Most volts [V rms] that a trial may put on any terminal."""

SEARCH_COIL = "search coil"
"""Name of what is read where no other winding is on yet."""

SEARCH_COIL_TURNS = 10
"""Turns put round the first winding for its trial and taken off again; ten make the arithmetic easy."""

_FLUX_DENSITY = 0.8
"""Peak [T] not to pass: 0.3 to 0.8 T is the best place for ratios (common practice, no source)."""

_LEAST_VOLTS = 1.0
"""Fewer volts on the fed winding, and leads and source show [V] (common practice, no source)."""

_THINNEST_SHEET = 0.35e-3
"""Taken where the sheet's thickness is not known: the thinner, the fewer volts [m] (common practice, no source)."""

_FREQUENCY = 50.0
"""Taken where the job has no supply: at 60 Hz there is less flux, not more [Hz]."""


@dataclass(frozen=True)
class TrialReading:
    """of: a winding, winding.lead for a section, or `search coil`;  per_volt: RMS volts on it for each volt on the
    winding that is fed;  u: standard uncertainty of that for what the unit itself loses, None where the core is not
    known well enough."""

    of: str
    per_volt: float
    u: float | None


@dataclass(frozen=True)
class Trial:
    """after: the winding just wound;  fed: the winding to feed;  volts: the most to feed it with [V rms];
    highest: what that puts on the terminals with most volts [V rms];  one_turn: volts of a single turn [V rms];
    flux_density [T] peak and current [A rms] at those volts, None where the core's steel is not known."""

    after: str
    fed: str
    volts: float
    highest: float
    one_turn: float
    flux_density: float
    current: float | None
    readings: tuple[TrialReading, ...]


def trials(plan: WindingPlan, rules: dict[str, Any]) -> tuple[Trial, ...]:
    """One trial for each winding in the order of winding;  rules: a table of profiles/limits.

    No winding gets more than HIGHEST_TERMINAL, nor the core more flux than ratios are read well at.  Fed is the winding
    whose own ohms take least of its volts (R / N2), of those that then have a volt or more.
    """
    return tuple(_trial(plan, rules, number) for number in range(1, len(plan.windings) + 1))


def _trial(plan: WindingPlan, rules: dict[str, Any], number: int) -> Trial:
    laid, job = plan.windings[:number], plan.job
    new, most_turns = laid[-1], max(_turns(one) for one in laid)
    frequency = _FREQUENCY if job.supply is None else job.supply.frequency
    thickness = sheet_thickness(job.core) or _THINNEST_SHEET
    area = plan.shape.tongue * LAMINATIONS * thickness
    per_turn = min(HIGHEST_TERMINAL / most_turns, emf(frequency, 1, _FLUX_DENSITY, area))
    fed = _fed(laid, per_turn)
    volts = _two_digits_down(per_turn * _turns(fed))
    spread = LAMINATIONS * thickness / (plan.stack * job.core.stacking_factor)
    whole = magnetic_core(job, rules["assembly"])
    core = None if whole is None else replace(whole, area=whole.area * spread)
    lost = None if core is None else _lost(plan, core, fed, volts, frequency, rules["assembly"])
    drop, u, current = (0.0, None, None) if lost is None else lost

    def reading(name: str, turns: int) -> TrialReading:
        ratio = turns / _turns(fed)
        # A section of the fed winding has its own share of the drop: it cancels.
        share = ratio if name.startswith(f"{fed.name}.") else ratio * (1 - drop)
        return TrialReading(name, share, None if u is None else ratio * u)

    return Trial(
        after=new.name,
        fed=fed.name,
        volts=volts,
        highest=volts * most_turns / _turns(fed),
        one_turn=volts / _turns(fed),
        flux_density=flux_density(volts, frequency, _turns(fed), area),
        current=current,
        readings=tuple(reading(name, turns) for name, turns in _wanted(new, fed, laid)),
    )


def _fed(laid: tuple[PlannedWinding, ...], per_turn: float) -> PlannedWinding:
    able = [one for one in laid if _turns(one) * per_turn >= _LEAST_VOLTS]
    if not able:
        return max(laid, key=_turns)
    return min(able, key=lambda one: one.resistance / _turns(one) ** 2)


def _wanted(new: PlannedWinding, fed: PlannedWinding, laid: tuple[PlannedWinding, ...]) -> list[tuple[str, int]]:
    """What is read, with its turns: the new winding against what is fed, or something else where it is fed itself."""
    sections = new.winding.sections
    parts = [(f"{new.name}.{finish}", turns) for _, finish, turns in sections] if len(sections) > 1 else []
    if new is not fed:
        return [(new.name, _turns(new)), *parts]
    if len(laid) > 1:
        return [(laid[-2].name, _turns(laid[-2])), *parts]
    return [(SEARCH_COIL, SEARCH_COIL_TURNS), *parts]


def _lost(
    plan: WindingPlan,
    core: MagneticCore,
    fed: PlannedWinding,
    volts: float,
    frequency: float,
    assembly: dict[str, Any],
) -> tuple[float, float, float] | None:
    """Fraction that the fed winding's own ohms take, u of every ratio as a fraction, exciting current [A].

    The drop is R P / V2, of the current's part in step with the volts; the rest of the doubt is the flux that takes
    its way beside so small a core, through the winding space: its permeance is mu0 x mean turn x half its width over
    its height, an upper bound.
    """
    try:
        points = exciting_curve(core, _turns(fed), np.array([volts]), frequency)
    except ValueError:
        return None
    current, watts = float(points.current[0]), float(points.core_loss[0])
    drop = fed.resistance * watts / volts**2
    shape = plan.shape
    around = 2 * (shape.tongue + plan.stack) + math.pi * shape.window_width
    permeance = MU_0 * around * shape.window_width / 2 / shape.window_height
    in_the_core = float(points.flux_density[0]) * core.area
    beside = permeance * math.sqrt(2) * current * _turns(fed) / in_the_core
    return drop, math.hypot(drop * assembly["u_log_drop"], beside / math.sqrt(3)), current


def _turns(one: PlannedWinding) -> int:
    return sum(layer.turns for layer in one.layers)


def _two_digits_down(value: float) -> float:
    """So that a variac can be set to it and the limit still holds."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.floor(value / step + 1e-9) * step
