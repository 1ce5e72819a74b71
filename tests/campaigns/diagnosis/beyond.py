"""Units beyond the frozen population: two faults at once, what no known fault is, and pairs that are hard to tell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from bench.job.model import Job
from bench.rehearsal.chance import stream
from bench.rehearsal.faults import Fault, parse_fault
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.variation import Variation, draw_variation
from tests.campaigns.decisions.population import JOBS, Drawn, job_named
from tests.campaigns.diagnosis.population import KINDS, Diagnosed, concerned, draw_one

__all__ = ["PAIRS", "POPULATIONS", "draw_outside", "draw_pair", "draw_two"]

_TRIES = 400
# Of the kinds that a procedure goes on with, or two of which can be told: a reading that is wrong is no second fault.
_TOGETHER = ("turns_wrong", "wire_wrong", "joint_poor", "core_gap", "core_stack_short", "core_steel_degraded",
             "laminations_bridged", "strand_open", "tap_misplaced", "insulation_low")  # fmt: skip


def draw_two(seed: int) -> Diagnosed:
    """A unit with two faults of different kinds; fault and winding are joined by ` + `."""
    rng = stream(seed, "two faults")
    for _ in range(_TRIES):
        name = str(rng.choice(JOBS))
        first, second = (str(one) for one in rng.choice(_TOGETHER, 2, replace=False))
        job = job_named(name)
        drawn = [_drawn(kind, job, rng) for kind in (first, second)]
        if None in drawn:
            continue
        faults = tuple(one[0] for one in drawn if one is not None)
        words = tuple(str(one[1]) for one in drawn if one is not None)
        unit = Drawn(seed, name, job, draw_variation(job, seed), faults, words)
        windings = [concerned(kind, fault) for kind, fault in zip((first, second), faults, strict=True)]
        return Diagnosed(unit, f"{first} + {second}", " + ".join(windings), " + ".join(words))
    raise RuntimeError("no job can have two faults")


def _drawn(kind: str, job: Job, rng: np.random.Generator) -> tuple[Fault, str] | None:
    drawn = KINDS[kind](job, rng)
    if drawn is None:
        return None
    place, size = drawn
    text = kind + (f":{place}" if place else "") + (f"={size}" if size else "")
    try:
        return parse_fault(text, job), text
    except RehearsalProblem:
        return None


def draw_outside(seed: int) -> Diagnosed:
    """A unit whose fault is on no list; what was done to it stands as its size."""
    rng = stream(seed, "outside the list")
    name, kind = str(rng.choice(JOBS)), str(rng.choice(list(_OUTSIDE)))
    job = job_named(name)
    changed = _OUTSIDE[kind](draw_variation(job, seed), rng)
    return Diagnosed(Drawn(seed, name, job, changed), "unknown", "", kind)


def _foreign_steel(unit: Variation, rng: np.random.Generator) -> Variation:
    return replace(unit, field_scale=unit.field_scale * float(rng.uniform(2.5, 4.0)))


def _better_steel(unit: Variation, rng: np.random.Generator) -> Variation:
    return replace(unit, loss_scale=unit.loss_scale * float(rng.uniform(0.35, 0.55)))


def _thin_wire_everywhere(unit: Variation, rng: np.random.Generator) -> Variation:
    share = float(rng.uniform(-0.16, -0.10))
    return replace(unit, windings={name: replace(one, wire=one.wire + share) for name, one in unit.windings.items()})


def _large_former(unit: Variation, rng: np.random.Generator) -> Variation:
    share = float(rng.uniform(0.15, 0.30))
    windings = {name: replace(one, mean_turn=one.mean_turn + share) for name, one in unit.windings.items()}
    return replace(unit, windings=windings)


_OUTSIDE: dict[str, Callable[[Variation, np.random.Generator], Variation]] = {
    "steel of another kind, 2.5 to 4 times the field": _foreign_steel,
    "better steel than the job says, half the loss": _better_steel,
    "all windings of thinner wire": _thin_wire_everywhere,
    "a larger former, all turns longer": _large_former,
}


@dataclass(frozen=True)
class Pair:
    """Two units that readings hardly tell apart, as requests of the rehearsal on a job; empty is a good unit."""

    job: str
    one: str
    other: str


PAIRS = (
    Pair("screened", "turns_shorted:primary=0.01", "screen_closed:screen=0.01"),
    Pair("amplifier", "", "turns_wrong:primary=-2"),
    Pair("isolator", "", "turns_wrong:primary=+2"),
    Pair("twin-rail", "", "core_stack_short=3 %"),
    Pair("amplifier", "turns_shorted:primary=0.02", "turns_shorted:heater=0.02"),
    Pair("isolator", "core_steel_degraded=1.5", "core_gap=0.03 mm"),
)
"""The pairs that a study of this test found hard; sizes where a bench sees something and hardly knows what."""


def draw_pair(seed: int) -> Diagnosed:
    """One of a hard pair, in turn."""
    pair = PAIRS[seed // 2 % len(PAIRS)]
    text = pair.one if seed % 2 else pair.other
    job = job_named(pair.job)
    if not text:
        return Diagnosed(Drawn(seed, pair.job, job, draw_variation(job, seed)), "none")
    fault = parse_fault(text, job)
    kind, _, size = text.partition("=")
    kind = kind.partition(":")[0]
    unit = Drawn(seed, pair.job, job, draw_variation(job, seed), (fault,), (text,))
    return Diagnosed(unit, kind, concerned(kind, fault), size)


POPULATIONS: dict[str, Callable[[int], Diagnosed]] = {
    "frozen": draw_one,
    "two": draw_two,
    "outside": draw_outside,
    "pairs": draw_pair,
}
"""How a unit of a seed is drawn, by the name of its population."""
