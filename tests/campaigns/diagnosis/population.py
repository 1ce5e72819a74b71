"""The frozen population: one fault or none a unit, by the ranges of the fault table, on several jobs."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from bench.job.model import Job
from bench.job.winding import Winding
from bench.rehearsal.chance import stream
from bench.rehearsal.faults import Fault, parse_fault
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.variation import draw_variation
from tests.campaigns.decisions.population import JOBS, Drawn, job_named

__all__ = ["CONTACTS", "KINDS", "Diagnosed", "alike", "concerned", "draw_one", "priors"]

GOOD_SHARE = 0.25
FOUND_SHARE = 0.5
"""Of the units whose core was read before they were stripped."""
_TRIES = 200


@dataclass(frozen=True)
class Diagnosed:
    """A unit and the truth about it: fault, the winding that it concerns (empty where none), its size in words.

    found_first: whether its core was read before it was stripped.
    """

    unit: Drawn
    fault: str
    winding: str = ""
    size: str = ""
    found_first: bool = False


def draw_one(seed: int) -> Diagnosed:
    """The unit of a seed: a quarter of them good, the others with one fault, all kinds alike."""
    rng = stream(seed, "diagnosis")
    if rng.random() < GOOD_SHARE:
        one = _unit(seed, str(rng.choice(JOBS)), "none", rng)
    else:
        one = _unit(seed, "", str(rng.choice(list(KINDS))), rng)
    return replace(one, found_first=bool(stream(seed, "found first").random() < FOUND_SHARE))


def _unit(seed: int, name: str, kind: str, rng: np.random.Generator) -> Diagnosed:
    if kind == "none":
        job = job_named(name)
        return Diagnosed(Drawn(seed, name, job, draw_variation(job, seed)), "none")
    for _ in range(_TRIES):
        name = str(rng.choice(JOBS))
        job = job_named(name)
        drawn = KINDS[kind](job, rng)
        if drawn is None:
            continue
        place, size = drawn
        text = kind + (f":{place}" if place else "") + (f"={size}" if size else "")
        try:
            fault = parse_fault(text, job)
        except RehearsalProblem:
            continue
        unit = Drawn(seed, name, job, draw_variation(job, seed), (fault,), (text,))
        return Diagnosed(unit, kind, concerned(kind, fault), size)
    raise RuntimeError(f"no job of {', '.join(JOBS)} can have {kind}")


def concerned(kind: str, fault: Fault) -> str:
    """The winding that a fault concerns, of two both, empty where none."""
    if kind == "leads_swapped":
        return " and ".join(str(place) for place in fault.places)
    return str(fault.places[0]) if fault.places else ""


Draw = Callable[[Job, np.random.Generator], tuple[str, str] | None]


def _any(job: Job, rng: np.random.Generator) -> Winding:
    return job.winding[int(rng.integers(len(job.winding)))]


def _part(winding: Winding, rng: np.random.Generator) -> tuple[str, int]:
    """A winding without taps, or one section of it, with its turns."""
    _, end, turns = winding.sections[int(rng.integers(len(winding.sections)))]
    return (f"{winding.name}.{end}" if winding.taps else winding.name), turns


def _turns_wrong(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    place, turns = _part(_any(job, rng), rng)
    most = max(1, round(0.05 * turns))
    return place, f"{int(rng.integers(1, most + 1)) * int(rng.choice((-1, 1))):+d}"


def _turns_shorted(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return _any(job, rng).name, f"{float(rng.uniform(0, 0.3)):.4f} ohm"


def _winding_reversed(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    winding = job.secondaries[int(rng.integers(len(job.secondaries)))]
    place = _part(winding, rng)[0] if rng.random() < 0.5 else winding.name
    return place, ""


def _leads_swapped(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    plain = [one.name for one in job.secondaries if not one.taps]
    if len(plain) < 2:
        return None
    first, second = sorted(rng.choice(len(plain), 2, replace=False))
    return f"{plain[first]},{plain[second]}", ""


def _winding_open(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return _part(_any(job, rng), rng)[0], ""


def _with_strands(job: Job, rng: np.random.Generator) -> Winding | None:
    several = [one for one in job.winding if one.strands > 1]
    return several[int(rng.integers(len(several)))] if several else None


def _strand_open(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    winding = _with_strands(job, rng)
    return None if winding is None else (winding.name, "")


def _strands_unequal(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    winding = _with_strands(job, rng)
    return None if winding is None else (winding.name, f"{int(rng.integers(1, 3))}")


def _joint_poor(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return _any(job, rng).name, f"{float(rng.uniform(5, 100)):.1f} %"


def _tap_misplaced(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    tapped = [one for one in job.winding if one.taps]
    if not tapped:
        return None
    winding = tapped[int(rng.integers(len(tapped)))]
    return f"{winding.name}.{winding.taps[0].name}", f"{int(rng.integers(1, 11)) * int(rng.choice((-1, 1))):+d}"


def _wire_wrong(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return _any(job, rng).name, f"{int(rng.choice((-2, -1, 1, 2))):+d}"


def _core_gap(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return "", f"{float(np.exp(rng.uniform(math.log(0.01), math.log(0.2)))):.4f} mm"


def _core_stack_short(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return "", f"{float(rng.uniform(3, 15)):.2f} %"


def _core_steel_degraded(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return "", f"{float(rng.uniform(1.2, 2.5)):.3f}"


def _laminations_bridged(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return "", f"{float(rng.uniform(20, 200)):.1f} %"


def _screen(job: Job) -> str | None:
    return job.screen[0].name if job.screen else None


def _screen_closed(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    name = _screen(job)
    return None if name is None else (name, f"{float(rng.uniform(0, 0.2)):.4f} ohm")


def _screen_unearthed(job: Job, rng: np.random.Generator) -> tuple[str, str] | None:
    name = _screen(job)
    return None if name is None else (name, "")


def _insulation_low(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    bodies = [*(one.name for one in job.winding), "core"]
    first, second = sorted(rng.choice(len(bodies), 2, replace=False))
    ohms = math.exp(rng.uniform(math.log(0.05), math.log(5)))
    return f"{bodies[first]},{bodies[second]}", f"{ohms:.3f} Mohm"


def _supply_wrong(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return "", ""


def _reading_wrong(job: Job, rng: np.random.Generator) -> tuple[str, str]:
    return job.secondaries[int(rng.integers(len(job.secondaries)))].name, ""


def priors(name: str) -> dict[str, float]:
    """How often each fault is met on units of a job in this population: a posterior is right only where its priors are.

    A kind that few jobs can have is met the more often on those: the kind is drawn first, and then a job that can have
    it, all alike.
    """
    each = (1 - GOOD_SHARE) / len(KINDS)
    met = {kind: each / many for kind, many in _able().items() if _can_have(name, kind)}
    return {"none": GOOD_SHARE / len(JOBS), "unknown": 0.005 / len(JOBS), **met}


def alike() -> dict[str, float]:
    """Good a quarter of the time and all kinds alike, whatever the job: of pairs, each of which is met as often."""
    each = (1 - GOOD_SHARE) / len(KINDS)
    return {"none": GOOD_SHARE, "unknown": 0.005, **dict.fromkeys(KINDS, each)}


@cache
def _able() -> dict[str, int]:
    """By kind, how many jobs can have it."""
    return {kind: sum(_can_have(name, kind) for name in JOBS) for kind in KINDS}


@cache
def _can_have(name: str, kind: str) -> bool:
    return KINDS[kind](job_named(name), stream(0, kind)) is not None


CONTACTS = {"ohm": {"turns_shorted": [[0.3, 1.0]], "screen_closed": [[0.2, 1.0], [0.3, 0.0]]}}
"""Ohms of a shorted turn and of a closed screen as they are drawn here, all alike."""

KINDS: dict[str, Draw] = {
    "turns_wrong": _turns_wrong,
    "turns_shorted": _turns_shorted,
    "winding_reversed": _winding_reversed,
    "leads_swapped": _leads_swapped,
    "winding_open": _winding_open,
    "strand_open": _strand_open,
    "strands_unequal": _strands_unequal,
    "joint_poor": _joint_poor,
    "tap_misplaced": _tap_misplaced,
    "wire_wrong": _wire_wrong,
    "core_gap": _core_gap,
    "core_stack_short": _core_stack_short,
    "core_steel_degraded": _core_steel_degraded,
    "laminations_bridged": _laminations_bridged,
    "screen_closed": _screen_closed,
    "screen_unearthed": _screen_unearthed,
    "insulation_low": _insulation_low,
    "reading_wrong": _reading_wrong,
    "supply_wrong": _supply_wrong,
}
"""How place and size of each fault are drawn; None where the job can't have it."""
