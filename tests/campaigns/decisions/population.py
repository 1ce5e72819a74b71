"""The population that is judged: units of several jobs, half as they come off the bench, half with something off."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.rehearsal.chance import stream
from bench.rehearsal.faults import Fault, FaultName, Place, SizeKind
from bench.rehearsal.variation import Variation, draw_variation

__all__ = ["JOBS", "Drawn", "draw", "job_named"]

JOBS = ("coastal-receiver", "gate-opener", "amplifier", "bell", "isolator", "twin-rail")
_OWN = Path(__file__).with_name("jobs")
_HOW_MANY = (0.45, 0.40, 0.15)
"""Shares of the units that differ from their job in none, one and two ways beyond the usual variation."""


@dataclass(frozen=True)
class Drawn:
    """One unit: its job, what is true of it and of the bench, and what was put in, in words."""

    seed: int
    name: str
    job: Job
    variation: Variation
    faults: tuple[Fault, ...] = ()
    put_in: tuple[str, ...] = ()


def draw(seed: int) -> Drawn:
    """The unit of a seed.

    Steel, joints, stacking, wire, mean turns, temperature, supply and series resistor vary as the rehearsal's own units
    do. Besides, turns, wire, joints, stack, gap, steel or insulation are off in more than half of the units, by sizes
    that lie about as often within the tolerance as outside; a few units are plainly bad.
    """
    rng = stream(seed, "decisions")
    name = str(rng.choice(JOBS))
    job = job_named(name)
    unit = Drawn(seed, name, job, draw_variation(job, seed))
    ways = rng.choice(len(_WAYS), size=rng.choice(len(_HOW_MANY), p=_HOW_MANY), replace=False, p=_weights())
    for way in ways:
        unit = _WAYS[way][1](unit, rng)
    return unit


@cache
def job_named(name: str) -> Job:
    """An example job without its readings as found, or one of the campaign's own."""
    own = _OWN / f"{name}.toml"
    return read_job(own if own.exists() else example_job(name)).model_copy(update={"as_found": None})


def _turns(unit: Drawn, rng: np.random.Generator) -> Drawn:
    """Whole turns too many or too few: to 4 % of a section, and on few turns from one to three."""
    winding = unit.job.winding[rng.integers(len(unit.job.winding))]
    _, end, turns = winding.sections[rng.integers(len(winding.sections))]
    most = max(3, round((0.02 if winding == unit.job.primary else 0.04) * turns))
    wrong = int(rng.integers(1, most + 1)) * int(rng.choice((-1, 1)))
    place = Place(winding.name, end if winding.taps else "")
    return _with_fault(unit, FaultName.TURNS_WRONG, (place,), float(wrong), SizeKind.TURNS)


def _wire(unit: Drawn, rng: np.random.Generator) -> Drawn:
    """Wire of another diameter than the job's, to 9 % either way: resistance goes with its square."""
    return _with_winding(unit, rng, "wire", float(rng.uniform(-0.09, 0.09)))


def _joint(unit: Drawn, rng: np.random.Generator) -> Drawn:
    """A joint or wire run out long: to a quarter of the winding's own ohms in series."""
    winding = unit.job.winding[rng.integers(len(unit.job.winding))]
    shape = unit.job.core.shape
    assert shape is not None
    assert winding.turns is not None
    # Metres of the winding's own wire that have these ohms; the middle of the window is near enough.
    length = winding.turns * (2 * (shape.tongue + (unit.job.core.stack or 0.0)) + math.pi * shape.window_width)
    share = float(rng.uniform(0.02, 0.25))
    own = replace(unit.variation.winding(winding.name), lead_out=share * length / 2)
    changed = replace(unit.variation, windings={**unit.variation.windings, winding.name: own})
    return _told(replace(unit, variation=changed), f"ohms in series with {winding.name}: {share:.1%}")


def _stack(unit: Drawn, rng: np.random.Generator) -> Drawn:
    size = float(rng.uniform(0.005, 0.07))
    return _with_fault(unit, FaultName.CORE_STACK_SHORT, (), size, SizeKind.SHARE)


def _gap(unit: Drawn, rng: np.random.Generator) -> Drawn:
    size = float(np.exp(rng.uniform(math.log(2e-6), math.log(60e-6))))
    return _with_fault(unit, FaultName.CORE_GAP, (), size, SizeKind.GAP)


def _steel(unit: Drawn, rng: np.random.Generator) -> Drawn:
    """Laminations that were filed, bent or heated: harder to magnetise, with more loss."""
    field, loss = float(rng.uniform(1.0, 1.8)), float(rng.uniform(1.0, 1.6))
    own = unit.variation
    changed = replace(own, field_scale=own.field_scale * field, loss_scale=own.loss_scale * loss)
    return _told(replace(unit, variation=changed), f"steel: field x {field:.2f}, loss x {loss:.2f}")


def _insulation(unit: Drawn, rng: np.random.Generator) -> Drawn:
    bodies = [*(winding.name for winding in unit.job.winding), "core"]
    pair = rng.choice(bodies, 2, replace=False)
    ohms = float(np.exp(rng.uniform(math.log(5e6), math.log(300e6))))
    places = tuple(Place(str(name)) for name in pair)
    return _with_fault(unit, FaultName.INSULATION_LOW, places, ohms, SizeKind.MEGOHMS)


def _shorted(unit: Drawn, rng: np.random.Generator) -> Drawn:
    winding = unit.job.winding[rng.integers(len(unit.job.winding))]
    return _with_fault(
        unit, FaultName.TURNS_SHORTED, (Place(winding.name),), float(rng.uniform(0.0, 0.3)), SizeKind.OHMS
    )


def _reversed(unit: Drawn, rng: np.random.Generator) -> Drawn:
    winding = unit.job.secondaries[rng.integers(len(unit.job.secondaries))]
    return _with_fault(unit, FaultName.WINDING_REVERSED, (Place(winding.name),), 0.0, SizeKind.NOTHING)


def _open(unit: Drawn, rng: np.random.Generator) -> Drawn:
    winding = unit.job.winding[rng.integers(len(unit.job.winding))]
    return _with_fault(unit, FaultName.WINDING_OPEN, (Place(winding.name),), 0.0, SizeKind.NOTHING)


_WAYS: tuple[tuple[float, Callable[[Drawn, np.random.Generator], Drawn]], ...] = (
    (0.26, _turns),
    (0.14, _wire),
    (0.12, _joint),
    (0.10, _stack),
    (0.12, _gap),
    (0.12, _steel),
    (0.05, _insulation),
    (0.04, _shorted),
    (0.03, _reversed),
    (0.02, _open),
)


def _weights() -> list[float]:
    return [weight for weight, _ in _WAYS]


def _with_fault(unit: Drawn, name: FaultName, places: tuple[Place, ...], size: float, kind: SizeKind) -> Drawn:
    fault = Fault(name, places, size, kind)
    return _told(replace(unit, faults=(*unit.faults, fault)), str(fault))


def _with_winding(unit: Drawn, rng: np.random.Generator, key: str, size: float) -> Drawn:
    winding = unit.job.winding[rng.integers(len(unit.job.winding))].name
    changed = replace(unit.variation.winding(winding), **{key: size})
    windings = {**unit.variation.windings, winding: changed}
    return _told(
        replace(unit, variation=replace(unit.variation, windings=windings)), f"{key} of {winding}: {size:+.1%}"
    )


def _told(unit: Drawn, words: str) -> Drawn:
    return replace(unit, put_in=(*unit.put_in, words))
