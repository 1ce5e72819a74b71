"""The search of `turnproof design`: what was found, what else comes near, and what would have to give."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.design.designing import Designed
    from bench.design.give import Give
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job

__all__ = ["found_json", "found_lines", "is_due", "search", "write"]


def is_due(job: Job) -> bool:
    """Whether a winding still lacks its turns or its wire."""
    return any(one.turns is None or one.wire is None for one in job.winding)


def search(job: Job, job_file: Path, bench: BenchFile, strands: int) -> tuple[Designed | None, tuple[Give, ...]]:
    """The design, or what could give where nothing fits; raises BadInput with what the targets lack."""
    from bench.design.designing import design_job
    from bench.design.give import what_could_give
    from bench.design.targets import problem_of, shelf_options
    from bench.job.profiles import load_table

    rules = load_table("limits", "small-mains")
    options = shelf_options(bench.wire, strands, bench.winder)
    if not options:
        raise BadInput("bench file: no wire on the shelf that the winder can wind, expected winder.thinnest, thickest")
    try:
        found = design_job(job, rules, options)
        gives = () if found is not None else what_could_give(problem_of(job, rules, options))
    except ValueError as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    return found, gives


def found_lines(found: Designed | None, gives: tuple[Give, ...], shelf: int) -> list[str]:
    """For a terminal."""
    from bench.design.class_check import STANDARD
    from bench.design.search import designs_near

    if found is None:
        return ["Nothing fits.", *_give_lines(gives)]
    design, problem = found.design, found.problem
    wires = f"the {shelf} wires of your shelf" if shelf else "all preferred sizes (no wire in the bench file)"
    full = f"{design.fill.outer / problem.shape.window_width * 100:.0f} % of the window"
    lines = [
        f"Found among {wires}: least {problem.aim.value}, {design.total_loss:.2f} W in all "
        f"({design.core_loss:.2f} W core, {design.fill.loss:.2f} W copper, warm), {design.fill.copper * 1e3:.0f} g of "
        f"copper, {design.flux_density:.3f} T, {full}.",
    ]
    letter = found.job.targets.temperature_class or "A"
    lines.append(
        f"Within {problem.most_flux:.3g} T at nominal and {problem.most_flux_high:.3g} T at the upper limit, and "
        f"{problem.most_rise:.0f} K of rise (class {letter}, mean rise of {STANDARD})."
    )
    wide = max(len(one.name) for one in design.fill.choices)
    for choice in design.fill.choices:
        strands = f", {choice.wire.strands} in hand" if choice.wire.strands > 1 else ""
        volts = found.volts.get(choice.name)
        rails = {load.winding for load in found.job.load if load.rail_voltage is not None}
        at = "open" if found.job.get_winding(choice.name).rated_at == "no load" else "on load"
        at = "direct, on its rail" if choice.name in rails else at
        given = "" if volts is None else f", {volts:.4g} V {at}"
        lines.append(
            f"  {choice.name:<{wide}}  {design.turns[choice.name]:>5} turns of {choice.wire.name}{strands}, "
            f"{choice.layers} layer{'s' if choice.layers > 1 else ''}{given}"
        )
    lines += _kept_lines(found)
    lines += _one_turn_lines(found)
    near = designs_near(problem, design)
    if near:
        lines.append("Near it, by turns of the primary and what they cost:")
        for one in near:
            turns = ", ".join(f"{name} {n}" for name, n in one.turns.items())
            lines.append(f"  {turns}: {one.total_loss:.2f} W, {one.fill.copper * 1e3:.0f} g, {one.flux_density:.3f} T")
    return lines


def found_json(found: Designed | None, gives: tuple[Give, ...]) -> dict[str, Any]:
    """For a program."""
    if found is None:
        return {
            "found": None,
            "could_give": [{"thing": str(g.thing), "of": g.of, "from": g.from_, "to": g.to} for g in gives],
        }
    design = found.design
    wires = {
        one.name: {"wire": one.wire.name, "strands": one.wire.strands, "layers": one.layers}
        for one in design.fill.choices
    }
    return {
        "found": {
            "turns": design.turns,
            "wires": wires,
            "core_loss": design.core_loss,
            "copper_loss": design.fill.loss,
            "copper": design.fill.copper,
            "flux_density": design.flux_density,
            "outer": design.fill.outer,
            "volts": found.volts,
        }
    }


def write(path: Path, read: str, found: Designed) -> None:
    """Into the job file; raises BadInput."""
    from bench.job.edit import write_windings
    from bench.job.file import FileProblem

    try:
        write_windings(path, read, found.job)
    except FileProblem as problem:
        raise BadInput("\n".join(problem.lines)) from None


def _kept_lines(found: Designed) -> list[str]:
    """What the windings that stay do to the flux and to the volts of all others."""
    kept = [one for one in found.problem.secondaries if one.fixed is not None]
    if not kept:
        return []
    per_volt = found.design.primary_turns / found.problem.voltage
    names = " and ".join(one.name for one in kept)
    one_stays = len(kept) == 1
    line = (
        f"{names} stay{'s' if one_stays else ''}: turns and volts of {'it' if one_stays else 'them'} fix "
        f"{per_volt:.3f} turns per volt, and so {found.design.flux_density:.3f} T, whatever the primary has; other "
        "turns on the primary would only change every secondary's volts with the flux."
    )
    asked = found.problem.most_flux
    if found.design.flux_density > asked * 1.0001:
        line += f" That is more than the {asked:g} T asked for: only new secondaries would bring it down."
    return [line]


def _one_turn_lines(found: Designed) -> list[str]:
    """What one turn more or less does to every voltage."""
    problem, turns = found.problem, found.design.turns
    per_turn = problem.voltage / found.design.primary_turns
    secondaries = ", ".join(
        f"{one.name} {per_turn:.3g} V ({100 / turns[one.name]:.2g} %)" for one in problem.secondaries
    )
    lines = [
        f"One turn more on a secondary: {secondaries}. One more on {problem.primary}: every secondary "
        f"{100 / turns[problem.primary]:.2g} % less."
    ]
    felt = [one for one in problem.secondaries if 1 / turns[one.name] > problem.volts_within]
    for one in felt:
        lines.append(
            f"Should {one.name} come out a turn short, in this order: leave it, if {100 / turns[one.name]:.2g} % less "
            f"({one.volts * (1 - 1 / turns[one.name]):.3g} V) will do; thread one turn through the window before it is "
            "varnished; strip to the last layer and wind it anew. A turn too many comes off at its finish."
        )
    return lines


_WORDS = {
    "window": ("the window", "m", 1e3, "mm wide"),
    "temperature rise": ("the rise", "K", 1.0, "K"),
    "flux density": ("the flux density", "T", 1.0, "T"),
    "currents": ("all currents", "", 100.0, "%"),
    "volts of whole turns": ("the volts, since turns are whole, within", "", 100.0, "%"),
}


def _give_lines(gives: tuple[Give, ...]) -> list[str]:
    if not gives:
        return ["No single limit that gives makes it fit: ask for less of more than one, or take a larger core."]
    lines = ["Any one of these would have to give:"]
    for one in gives:
        words, _, factor, unit = _WORDS[str(one.thing)]
        words = f"the current of {one.of}" if one.of else words
        lines.append(f"  {words}: {one.to * factor:.4g} {unit} in place of {one.from_ * factor:.4g}")
    return lines
