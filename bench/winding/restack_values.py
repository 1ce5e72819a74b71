"""What was answered of a restacked core, as values, beside what its job lets expect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bench.design.sheet_thickness import sheet_thickness
from bench.job.model import Job
from bench.magnetics.emf import flux_density
from bench.quantities import Dimension
from bench.winding.stage import Answered
from bench.winding.typed_answers import Laminations, read_laminations

__all__ = ["Due", "Restack", "due_of", "laminations_due", "restack_of"]


@dataclass(frozen=True)
class Restack:
    """What was answered; None where it was not.  gap, stack [m];  the rest as in restack_words.QUESTIONS."""

    came_out: Laminations | None = None
    put_in: Laminations | None = None
    left_over: Laminations | None = None
    scrapped: Laminations | None = None
    interleave: str | None = None
    gap: float | None = None
    stack: float | None = None
    bolts: str | None = None
    wedge: str | None = None
    band: str | None = None
    band_tested: str | None = None
    can: str | None = None
    can_tested: str | None = None
    earth: str | None = None


@dataclass(frozen=True)
class Due:
    """What the job lets expect.

    stack [m] pressed, thickness [m] of a sheet by its steel's name, None where the job does not say;  tolerance: of
    the stack;  core_kept: whether the same laminations go back in;  screens: their names;  interleave_said: by the job
    file, and not just taken where it says nothing;  flux_density [T] peak at
    nominal volts, volts [V rms] and turns of the primary, None where the job is not that far.
    """

    stack: float | None
    stacking_factor: float
    thickness: float | None
    interleave: str
    tolerance: float
    core_kept: bool
    screens: tuple[str, ...] = ()
    interleave_said: bool = True
    flux_density: float | None = None
    volts: float | None = None
    turns: int | None = None


def restack_of(answers: Answered) -> Restack:
    """The answers as values."""
    return Restack(
        came_out=answers.value("came_out", read_laminations),
        put_in=answers.value("laminations_in", read_laminations),
        left_over=answers.value("left_over", read_laminations),
        scrapped=answers.value("scrapped", read_laminations),
        gap=answers.quantity("gap", Dimension.LENGTH),
        stack=answers.quantity("stack", Dimension.LENGTH),
        **{key: answers.text(key) for key in _WORDS},
    )


_WORDS = ("interleave", "bolts", "wedge", "band", "band_tested", "can", "can_tested", "earth")


def due_of(job: Job, rules: dict[str, Any]) -> Due:
    """From the job;  rules: a table of profiles/limits."""
    core, primary = job.core, job.primary
    turns = None if primary is None else primary.turns
    density = None
    if job.supply is not None and turns is not None and core.net_area is not None:
        density = flux_density(job.supply.voltage, job.supply.frequency, turns, core.net_area)
    return Due(
        stack=core.stack,
        stacking_factor=core.stacking_factor,
        thickness=sheet_thickness(core),
        interleave=core.interleave,
        interleave_said="interleave" in core.model_fields_set,
        tolerance=float(rules["stack"]["tolerance"]),
        core_kept=job.as_found is None or job.as_found.core_kept,
        screens=tuple(one.name for one in job.screen),
        flux_density=density,
        volts=None if job.supply is None else job.supply.voltage,
        turns=turns,
    )


def laminations_due(due: Due) -> int | None:
    """E's (and as many I's) that make the design's stack; None where the steel's name tells no thickness."""
    if due.thickness is None or due.stack is None:
        return None
    return round(due.stack * due.stacking_factor / due.thickness)
