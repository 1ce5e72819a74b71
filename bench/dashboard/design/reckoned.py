"""What the design face draws, worked out beside the window: a job as it stands, or as a search would wind it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from bench.dashboard.parts.flux_scale import FluxMark, FluxSeen
from bench.design.core_drawn import magnetic_core, was_read
from bench.design.designing import Designed
from bench.design.give import Give
from bench.design.limits import Limit, limits_of, rise_limit
from bench.design.loaded import NotOnLoad, loaded_unit
from bench.design.plan import WindingPlan, plan_of
from bench.design.readings import foreseen
from bench.design.rise_on_load import WARM
from bench.design.targets import needs_for_design, problem_of, shelf_options
from bench.job.bench_file import BenchFile
from bench.job.expected_reading import Kind
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.magnetics.emf import flux_density
from bench.sitting.design_search import found_lines, search

__all__ = ["DesignShown", "Figures", "Key", "OnLoadShown", "design_shown", "on_load_shown"]

Key = tuple[object, ...]
_RULES = "small-mains"


@dataclass(frozen=True)
class Figures:
    """What is compared with before: name -> (value, unit, places)."""

    of: Mapping[str, tuple[float, str, int]] = field(default_factory=dict)


# eq=False: it holds arrays, which have no single truth value.
@dataclass(frozen=True, eq=False)
class DesignShown:
    """key: of what it was made from;  job: as drawn;  found: by the search, None where none was made or nothing fits;
    searched;  gives: what would have to give;  plan: None where it can't be laid, `no_plan` says why;  needs: keys that
    the search lacks;  lines: of the search, as the command says them."""

    key: Key
    job: Job
    searched: bool
    found: Designed | None
    gives: tuple[Give, ...]
    plan: WindingPlan | None
    no_plan: str
    needs: tuple[str, ...]
    limits: tuple[Limit, ...]
    flux: FluxSeen
    figures: Figures
    lines: tuple[str, ...]


@dataclass(frozen=True)
class OnLoadShown:
    """What takes a second or two more: volts on load by winding at low, nominal, high mains;  regulation: by winding;
    rise: against its class;  sentence: of it;  left_out."""

    key: Key
    volts: Mapping[str, tuple[float, ...]]
    regulation: Mapping[str, float]
    rise: Limit | None
    sentence: str
    left_out: tuple[str, ...]
    figures: Figures


def design_shown(job: Job, path: Path, bench: BenchFile, key: Key, strands: int, *, searching: bool) -> DesignShown:
    """Raises BadInput where the targets can't be searched."""
    needs = tuple(needs_for_design(job))
    found: Designed | None = None
    gives: tuple[Give, ...] = ()
    lines: tuple[str, ...] = ()
    if searching and not needs:
        found, gives = search(job, path, bench, strands)
        lines = tuple(found_lines(found, gives, len(bench.wire)))
    drawn = job if found is None else found.job
    try:
        plan, no_plan = plan_of(drawn), ""
    except ValueError as problem:
        plan, no_plan = None, str(problem)
    return DesignShown(
        key=key,
        job=drawn,
        searched=searching and not needs,
        found=found,
        gives=gives,
        plan=plan,
        no_plan=no_plan,
        needs=needs,
        limits=_limits(drawn, bench, plan, strands) if not needs else (),
        flux=_flux(drawn),
        figures=_figures(drawn, plan),
        lines=lines,
    )


def on_load_shown(job: Job, key: Key) -> OnLoadShown:
    """Raises NotEnough where the job does not say enough."""
    rules = load_table("limits", _RULES)
    found = foreseen(job, rules)
    volts: dict[str, list[float]] = {}
    for row in found.rows:
        if row.kind is Kind.ON_LOAD:
            volts.setdefault(row.of, []).append(row.value)
    regulation: dict[str, float] = {}
    figures: dict[str, tuple[float, str, int]] = {}
    try:
        solved = loaded_unit(job, rules).solve(1.0, WARM)
        loss = solved.core_loss + solved.copper_loss
        if math.isfinite(loss):
            figures["loss"] = (loss, "W", 1)
        regulation = {
            name: one.no_load_voltage / one.voltage - 1
            for name, one in solved.windings.items()
            if name != solved.fed and one.voltage > 0
        }
    except (NotOnLoad, ArithmeticError, ValueError):
        regulation = {}
    rise = None
    if found.thermal is not None and not found.thermal.hottest.beyond:
        rise = rise_limit(found.thermal)
        figures["rise"] = (rise.used, "K", 0)
    elif found.thermal is None:
        rises = [row.value for row in found.rows if row.kind is Kind.RISE]
        if rises:
            figures["rise"] = (rises[-1], "K", 0)
    return OnLoadShown(
        key,
        {name: tuple(values) for name, values in volts.items()},
        regulation,
        rise,
        "" if found.thermal is None else found.thermal.sentence,
        found.left_out,
        Figures(figures),
    )


def _limits(job: Job, bench: BenchFile, plan: WindingPlan | None, strands: int) -> tuple[Limit, ...]:
    if plan is None:
        return ()
    try:
        problem = problem_of(job, load_table("limits", _RULES), shelf_options(bench.wire, strands, bench.winder))
    except ValueError:
        return ()
    return limits_of(plan, problem)


def _flux(job: Job) -> FluxSeen:
    title = "flux density"
    supply, primary, area = job.supply, job.primary, job.core.net_area
    needs = []
    if supply is None:
        needs.append("supply")
    if primary is None or primary.turns is None:
        needs.append("turns of the primary")
    if area is None:
        needs.append("core.lamination and core.stack")
    if supply is None or primary is None or primary.turns is None or area is None:
        return FluxSeen(title, empty=f"Not known without {', '.join(needs)}.")
    marks = []
    for factor in (1 - supply.tolerance, 1.0, 1 + supply.tolerance):
        volts = supply.voltage * factor
        marks.append(FluxMark(f"at {volts:.4g} V", flux_density(volts, supply.frequency, primary.turns, area)))
    assembly = load_table("limits", _RULES)["assembly"]
    steel = job.core.steel or "nonoriented-unknown"
    core = magnetic_core(job.model_copy(update={"core": job.core.model_copy(update={"steel": steel})}), assembly)
    if core is None:
        return FluxSeen(title, tuple(marks))
    try:
        knee, doubt = core.steel.knee_flux_density, 2 * core.steel.knee_spread
    except ValueError:
        return FluxSeen(title, tuple(marks))
    whose = "as found" if was_read(job, assembly) else core.steel.name
    return FluxSeen(title, tuple(marks), knee, doubt, whose)


def _figures(job: Job, plan: WindingPlan | None) -> Figures:
    figures: dict[str, tuple[float, str, int]] = {}
    if plan is not None:
        figures["window taken"] = (100 * plan.fill, "%", 0)
        figures["copper"] = (1e3 * sum(one.mass for one in plan.windings), "g", 0)
    supply, primary = job.supply, job.primary
    if supply is not None and primary is not None and primary.turns is not None:
        figures["turns per volt"] = (primary.turns / supply.voltage, "", 3)
    return Figures(figures)
