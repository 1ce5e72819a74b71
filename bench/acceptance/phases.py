"""The steps of a procedure, put together from its data: each kind a module, each of the workshop's own beside them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from types import ModuleType

from bench.acceptance.about import About
from bench.acceptance.context import Context, PlannedStep, Steps
from bench.acceptance.steps import KINDS, own
from bench.job.procedure_file import ProcedureFile, Stage, shipped_procedure

__all__ = ["Phase", "always", "phases_of", "standard_phases"]


def always(stage: Stage) -> tuple[str, ...]:
    """Kinds without which no unit is accepted, whatever a procedure leaves out."""
    return ("set_insulation",) if stage is Stage.IN_EQUIPMENT else ("insulation",)


@dataclass(frozen=True)
class Phase:
    """One step of a procedure.  required: as the procedure has it, None as the kind has it."""

    name: str
    about: About
    plan: Callable[[Context], list[PlannedStep]]
    run: Callable[[Context], Steps]
    required: bool | None = None

    def planned(self, context: Context) -> list[PlannedStep]:
        """What it means to read, with whether the unit can be accepted without."""
        steps = self.plan(context)
        if self.required is None:
            return steps
        return [PlannedStep(one.id, one.label, self.required) for one in steps]


def phases_of(procedure: ProcedureFile, kinds: Mapping[str, ModuleType] = KINDS) -> tuple[Phase, ...]:
    """In the order of the file; raises ValueError for a kind that nobody knows, or one before what guards it."""
    phases: list[Phase] = []
    for entry in procedure.step:
        if entry.own is not None:
            step = entry.own
            phases.append(
                Phase(step.name, own.about(step), partial(own.plan, step), partial(own.run, step), entry.required)
            )
            continue
        module = kinds.get(entry.name)
        if module is None:
            raise ValueError(f"step {entry.name!r} is no kind of step, expected one of {', '.join(kinds)}")
        stages: tuple[Stage, ...] = module.ABOUT.stages
        if stages and procedure.stage not in stages:
            meant = ", ".join(repr(str(stage)) for stage in stages)
            raise ValueError(f"step {entry.name!r} at stage {str(procedure.stage)!r}, expected it at {meant}")
        phases.append(Phase(entry.name, module.ABOUT, module.plan, module.run, entry.required))
    _check_order(phases)
    return tuple(phases)


def standard_phases(name: str = "before-varnish") -> tuple[Phase, ...]:
    """Those of a shipped procedure."""
    return phases_of(shipped_procedure(name))


def _check_order(phases: list[Phase]) -> None:
    """A step may be left out, and what it guards is then barred; it may not come after what it guards."""
    place = {phase.name: number for number, phase in enumerate(phases)}
    for number, phase in enumerate(phases):
        for guard in phase.about.guards:
            if place.get(guard, -1) > number:
                raise ValueError(f"step {phase.name!r} stands before {guard!r}, which guards it: expected after it")
    mains = [phase.name for phase in phases if phase.about.mains]
    if mains and not any(phase.about.cautioned and not phase.about.mains for phase in phases[: place[mains[0]]]):
        raise ValueError(f"step {mains[0]!r} puts mains on the unit, expected a step with the cautions before it")
