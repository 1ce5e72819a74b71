"""Windings of the example jobs, and what their ohms are by adding layers up, apart from the code that is tested."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.design.plan import PlannedWinding, plan_of
from bench.estimate import Estimate
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import rules_named
from bench.winding.check_values import Counted
from bench.winding.resistance_check import Leads, OhmsRead, ResistanceAnswer, check_resistance

ASSEMBLY = rules_named()["assembly"]
RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
ROOM = 293.15
EVERY = [(job, one.name) for job in (RECEIVER, OPENER) for one in job.winding]
WINDINGS = pytest.mark.parametrize(("job", "name"), EVERY, ids=[f"{job.identity.number}-{name}" for job, name in EVERY])
LAYERED = [(job, name) for job, name in EVERY if len(plan_of(job).winding(name).layers) > 1]
PLANNED = {(job.identity.number, name): plan_of(job).winding(name) for job, name in EVERY}

# What the wire itself may be, kept apart from the code: conductivity [MS/m] (IEC 60317-0-1, from memory), tolerance of
# the bare diameter [mm] (IEC 60317-0-1, tables of fd-enameledwire.com; 26 AWG has that of 0.45 mm, the next size).
TOLERANCE = {"0.4 mm": 0.005, "0.18 mm": 0.003, "1 mm": 0.010, "0.9 mm": 0.009, "0.16 mm": 0.003, "26 AWG": 0.005}


def planned_of(job: Job, name: str) -> PlannedWinding:
    return plan_of(job).winding(name)


def as_read(ohms: float, u: float = 0.0, temperature: float = ROOM, u_temperature: float = 0.0) -> OhmsRead:
    return OhmsRead(Estimate(ohms, {"meter": u} if u else {}), Leads.TAKEN_OFF, temperature, u_temperature)


def turns_of(planned: PlannedWinding) -> int:
    return sum(layer.turns for layer in planned.layers)


def ohms_by_hand(planned: PlannedWinding, per_metre: float, out: int = 0) -> float:
    """Ohms by adding the layers up: one ohms-per-metre figure over turns x mean turn; `out` turns of the last one."""
    lengths = [layer.turns * layer.mean_turn for layer in planned.layers]
    return per_metre * (sum(lengths) - out * planned.layers[-1].mean_turn) / planned.winding.strands


def per_metre_of(
    planned: PlannedWinding, conductivity: float = 58.5e6, wider: float = 0.0, strain: float = 0.005
) -> float:
    wire = planned.winding.wire
    assert wire is not None
    return (1 + strain) / (conductivity * math.pi / 4 * (wire.diameter + wider) ** 2)


def checked(planned: PlannedWinding, ohms: float, count: float | None = None) -> ResistanceAnswer:
    counted = Counted.exactly(turns_of(planned) if count is None else count)
    return check_resistance(planned, as_read(ohms), counted, ASSEMBLY)


def drawn_ohms(rng: np.random.Generator, job: Job, name: str, reel: dict[str, float], temperature: float) -> float:
    """A good winding of a drawn reel, added up layer by layer."""
    planned = planned_of(job, name)
    wire = planned.winding.wire
    assert wire is not None
    shape, stack = job.core.shape, job.core.stack
    assert shape is not None
    assert stack is not None
    around = 2 * (shape.tongue + stack)
    higher = 1 + 0.05 * rng.standard_normal()
    length = sum(one.turns * (around + (one.mean_turn - around) * higher) for one in planned.layers) * reel["hand"]
    per_metre = per_metre_of(planned, reel["conductivity"], reel["wider"], reel["strain"]) * (
        1 + 0.003 * rng.standard_normal()
    )
    return per_metre * length / planned.winding.strands * (234.5 + temperature - 273.15) / 254.5


def drawn_reel(rng: np.random.Generator, planned: PlannedWinding) -> dict[str, float]:
    """Wire as far out as its standard lets it be, and a hand that pulls and packs it as hands do."""
    wire = planned.winding.wire
    assert wire is not None
    # The mean turn is within 2.5 % in all (profiles/limits); what 5 % of a layer's height are of it is drawn apart.
    build = sum(one.turns * math.pi * (one.inner + one.outer) for one in planned.layers) / planned.wire_length
    hand = math.sqrt(0.025**2 - (0.05 * build) ** 2)
    return {
        "conductivity": rng.uniform(58.0e6, 59.0e6),
        "wider": rng.uniform(-1, 1) * TOLERANCE[wire.name] * 1e-3,
        "strain": rng.uniform(0, 0.01),
        "hand": math.exp(hand * rng.standard_normal()),
    }
