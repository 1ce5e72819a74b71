"""What is worth knowing before winding: room, pull on the wire, volts between layers, margins, inrush."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from bench.design.core_drawn import magnetic_core
from bench.design.insulation_taken import insulation_taken
from bench.design.plan import PlannedWinding, WindingPlan
from bench.magnetics.emf import flux_density
from bench.magnetics.inrush import air_core_inductance, inrush_bound
from bench.magnetics.insulation import Hint, creepage_hint, layer_hints, margin_hint, pair_hint
from bench.magnetics.tension import winding_tension

__all__ = ["WorthKnowing", "worth_knowing"]

_REMANENCE = 0.8
"""Of the last peak, kept by an interleaved core: 0.6 to 0.8 (from memory)."""

_AS_LITTLE = 1e-6
"""Metres by which a margin may lack and still be the one that was asked for: what a float may lack."""


@dataclass(frozen=True)
class WorthKnowing:
    """A hint, and the winding that it is of, empty for the whole unit."""

    of: str
    hint: Hint


def worth_knowing(plan: WindingPlan, rules: dict[str, Any]) -> tuple[WorthKnowing, ...]:
    """Hints for a plan; what can't be worked out for want of a supply, a steel or a place in a table is left out."""
    taken = insulation_taken(plan.job.insulation)
    build = Hint(
        "build over window width", plan.fill, "1", "; ".join(["layers, bulge and insulation", *taken.not_stated])
    )
    return (
        WorthKnowing("", build),
        *(one for winding in plan.windings for one in _of_winding(winding, plan)),
        *_between(plan),
        *_inrush(plan, rules),
    )


def _of_winding(one: PlannedWinding, plan: WindingPlan) -> list[WorthKnowing]:
    found = []
    diameter = 0.0 if one.winding.wire is None else one.winding.wire.diameter
    try:
        pull = winding_tension(diameter)
    except ValueError:  # thicker or thinner than the chart
        pull = None
    if pull is not None:
        basis = "50 to 80 % of a wire maker's chart (Phelps Dodge, by fr.scribd.com/doc/45837533)"
        found.append(Hint("pull to wind with, at least", pull.working_low, "N", basis))
        found.append(Hint("pull to wind with, at most", pull.working_high, "N", basis))
    per_turn = _volts_per_turn(plan)
    if per_turn is not None and len(one.layers) > 1:
        found.extend(layer_hints([layer.turns for layer in one.layers], per_turn))
    return [WorthKnowing(one.name, hint) for hint in found]


def _between(plan: WindingPlan) -> list[WorthKnowing]:
    supply, per_turn = plan.job.supply, _volts_per_turn(plan)
    not_stated = insulation_taken(plan.job.insulation).margin_not_stated
    creepage = creepage_hint(plan.margin)
    hints = [replace(creepage, basis="; ".join(filter(None, (creepage.basis, not_stated))))]
    if supply is not None and per_turn is not None and len(plan.windings) > 1:
        volts = {one.name: per_turn * (one.winding.turns or 0) for one in plan.windings}
        hints.extend(_margin(plan, supply.voltage * (1 + supply.tolerance), not_stated))
        hints.append(pair_hint(volts))
    return [WorthKnowing("", hint) for hint in hints]


def _margin(plan: WindingPlan, working_voltage: float, not_stated: str) -> list[Hint]:
    """The margin wanted, and by how much the plan's falls short of it."""
    try:
        wanted = margin_hint(working_voltage)
    except ValueError as problem:
        return [Hint("margin on each side for reinforced insulation: no rule", 0.0, "", str(problem))]
    short = wanted.value - plan.margin
    if short <= _AS_LITTLE:
        return [wanted]
    return [
        wanted,
        Hint(
            f"margin of {plan.margin * 1e3:.4g} mm falls short of that by",
            short,
            "m",
            "; ".join(filter(None, (wanted.basis, not_stated))),
        ),
    ]


def _inrush(plan: WindingPlan, rules: dict[str, Any]) -> list[WorthKnowing]:
    job = plan.job
    core = magnetic_core(job, rules["assembly"])
    if job.supply is None or job.primary is None or core is None or job.primary.turns is None:
        return []
    primary = plan.winding(job.primary.name)
    middle = (primary.inner + primary.outer) / 2
    area = plan.shape.tongue * plan.stack + 2 * (plan.shape.tongue + plan.stack) * middle + math.pi * middle**2
    try:
        air = air_core_inductance(job.primary.turns, area, plan.length)
        highest = job.supply.voltage * (1 + job.supply.tolerance)
        flux = flux_density(highest, job.supply.frequency, job.primary.turns, core.area)
        bound = inrush_bound(
            core, job.primary.turns, highest, job.supply.frequency, primary.resistance, air, min(_REMANENCE * flux, 1.4)
        )
    except ValueError:
        return []
    basis = (
        f"a bound: worst instant, upper limit of the supply, no limiter; remanence of {_REMANENCE:g} of the last peak, "
        "from memory; after a direct current (an ohmmeter) it may be more"
    )
    return [WorthKnowing(primary.name, Hint("inrush, peak, not more than", bound.peak, "A", basis))]


def _volts_per_turn(plan: WindingPlan) -> float | None:
    supply, primary = plan.job.supply, plan.job.primary
    if supply is None or primary is None or primary.turns is None:
        return None
    return supply.voltage * (1 + supply.tolerance) / primary.turns
