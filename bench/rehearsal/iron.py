"""The core as it truly is: what was stacked, how its steel was treated, and what joins its laminations."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from bench.job.model import Job
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.parts import Iron
from bench.rehearsal.steel import DENSITY, named_steel
from bench.rehearsal.variation import Variation

__all__ = ["true_core"]


def true_core(job: Job, variation: Variation, faults: Sequence[Fault]) -> tuple[float, Iron]:
    """Height of the stack [m], and the core; the job has lamination, stack, primary and supply.

    Degraded steel: all its loss times the factor, and the field that it needs times the root of the factor. Common
    practice, no source: both rise together, the field less.
    """
    good = _good_core(job, variation)
    stack = job.core.stack or 0.0
    short = sum(_sizes(faults, FaultName.CORE_STACK_SHORT))
    worse = math.prod(_sizes(faults, FaultName.CORE_STEEL_DEGRADED))
    return stack * (1 - short), replace(
        good,
        area=good.area * (1 - short),
        gap=good.gap + sum(_sizes(faults, FaultName.CORE_GAP)),
        field_scale=good.field_scale * math.sqrt(worse),
        loss_scale=good.loss_scale * worse,
        bridge=sum(_sizes(faults, FaultName.LAMINATIONS_BRIDGED)) * _loss_conductance(job, good),
    )


def _good_core(job: Job, variation: Variation) -> Iron:
    shape, stack = job.core.shape, job.core.stack
    assert shape is not None, "a job without is refused before"
    assert stack is not None, "a job without is refused before"
    return Iron(
        steel=named_steel(job.core.steel),
        area=shape.tongue * stack * min(job.core.stacking_factor * variation.stacking_scale, 1.0),
        path=shape.path,
        gap=variation.gap,
        field_scale=variation.field_scale,
        loss_scale=variation.loss_scale,
    )


def _loss_conductance(job: Job, iron: Iron) -> float:
    """Conductance [S] of a loop of one turn around the core that takes as much as its steel at nominal volts.

    Watts at sine flux over the square of a turn's volts; what the primary drops on the way is left out.
    """
    assert job.primary is not None, "a job without is refused before"
    assert job.supply is not None, "a job without is refused before"
    turn_volts = job.supply.voltage / (job.primary.turns or 1)
    frequency = job.supply.frequency
    peak = math.sqrt(2) * turn_volts / (2 * math.pi * frequency * iron.area)
    watts = iron.steel.loss(peak, frequency) * DENSITY * iron.volume * iron.loss_scale
    return watts / turn_volts**2


def _sizes(faults: Sequence[Fault], name: FaultName) -> list[float]:
    return [fault.size for fault in faults if fault.name is name]
