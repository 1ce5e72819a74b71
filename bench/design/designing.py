"""A job designed: turns and wires searched, laid and loaded until the volts on load are those wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bench.design.fill import WireOption
from bench.design.loaded import loaded_unit
from bench.design.problem import DesignProblem
from bench.design.rise_on_load import WARM
from bench.design.search import Design, best_design
from bench.design.targets import problem_of
from bench.job.model import Job
from bench.job.winding import Tap, Winding
from bench.job.wire import parse_wire
from bench.magnetics.on_load_result import OnLoad

__all__ = ["Designed", "design_job", "job_with"]

_ROUNDS = 8


@dataclass(frozen=True)
class Designed:
    """job: with turns, wire and strands of every winding;  problem: as the last round put it;  design;
    rounds: how often it was searched;  volts: on load (open, or of the rail, as asked) by secondary."""

    job: Job
    problem: DesignProblem
    design: Design
    rounds: int
    volts: dict[str, float]


def design_job(job: Job, rules: dict[str, Any], options: Sequence[WireOption]) -> Designed | None:
    """The best design of a job's targets; None where nothing fits.  Raises ValueError as `problem_of` does.

    What a winding loses on load hangs on the wires, and the turns hang on what it loses: searched, laid and loaded by
    turns until neither changes.
    """
    regulation: dict[str, float] = {}
    current: dict[str, float] = {}
    last: Designed | None = None
    for number in range(1, _ROUNDS + 1):
        problem = problem_of(job, rules, tuple(options), regulation, current)
        design = best_design(problem)
        if design is None:
            return last if last is not None and _close(last, problem) else None
        laid = job_with(job, design)
        unit = loaded_unit(laid, rules)
        solved = unit.solve(1.0, WARM)
        volts = {}
        for one in laid.secondaries:
            on_load = solved.windings[one.name]
            volts[one.name] = _given(one, laid, solved)
            regulation[one.name] = on_load.voltage_by_turns / volts[one.name]
            current[one.name] = on_load.current
        same = (
            last is not None and last.design.turns == design.turns and last.design.fill.choices == design.fill.choices
        )
        last = Designed(laid, problem, design, number, volts)
        if same:
            break
    return last


def _given(one: Winding, job: Job, solved: OnLoad) -> float:
    """The volts [V] that were asked for, as they come out: of the rail, on load, or open."""
    rail = next((load.rail_voltage for load in job.load if load.winding == one.name), None)
    if rail is not None:
        return next(found.voltage for found in solved.rails if found.winding == one.name)
    on_load = solved.windings[one.name]
    return on_load.voltage if one.rated_at == "load" else on_load.no_load_voltage


def job_with(job: Job, design: Design) -> Job:
    """The job with a design's turns, wires and strands; a single tap lies in the middle, others keep their share."""
    laid = [(job.get_winding(one.name), one.wire) for one in design.fill.choices]
    return job.model_copy(update={"winding": tuple(_winding(one, design.turns[one.name], wire) for one, wire in laid)})


def _winding(one: Winding, turns: int, wire: WireOption) -> Winding:
    old = one.turns
    taps = tuple(
        Tap(
            name=tap.name,
            turn=turns // 2 if len(one.taps) == 1 or old is None else max(1, round(tap.turn / old * turns)),
            lead=tap.lead,
        )
        for tap in one.taps
    )
    update = {"turns": turns, "wire": parse_wire(wire.name), "strands": wire.strands, "taps": taps, "layers": ()}
    return one.model_copy(update={**update, "resistance": None, "mean_turn": None})


def _close(last: Designed, problem: DesignProblem) -> bool:
    """Whether the round before still gives the volts within what is allowed."""
    return all(abs(last.volts[one.name] / one.volts - 1) <= problem.volts_within for one in problem.secondaries)
