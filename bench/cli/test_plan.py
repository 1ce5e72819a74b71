"""What a test will ask for, before anything is done: the procedure walked against a bench that reads as designed."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from bench.cli.wrapped import say

if TYPE_CHECKING:
    from bench.acceptance.context import Equipment
    from bench.acceptance.procedure import Procedure
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job

__all__ = ["plan_of", "plan_text", "planned_equipment", "show_plan"]


def show_plan(procedure: Procedure, job: Job, name: str, *, as_json: bool) -> None:
    """Print the plan of a procedure that has not begun."""
    plan = plan_of(procedure, job, name)
    if as_json:
        click.echo(json.dumps(plan, indent=1, ensure_ascii=False))
    else:
        say(plan_text(plan))


def planned_equipment(job: Job, bench: BenchFile, meters: tuple[str, ...]) -> Equipment:
    """The bench as its file says, with the meters that are named, by their profiles and without opening them; with one
    that reads everything where none is named.  Raises BadInput."""
    from dataclasses import replace

    from bench.acceptance.instrument import HandInstrument
    from bench.job.bench_file import MeterEntry
    from bench.sitting.meters import asked_meters
    from bench.sitting.opening import HAND, hand_accuracies
    from bench.sitting.problems import BadInput
    from bench.whole_test import equipment_of
    from drivers.address import Address
    from drivers.errors import ProfileError
    from drivers.profile_files import load_meter_profile
    from drivers.reading import Quantity

    named = list(asked_meters(bench, meters).by_role.values())
    entry = named[0] if named else MeterEntry(name=HAND, use=HAND)
    by_hand = HandInstrument(lambda ask: "", hand_accuracies(entry))
    equipment = equipment_of(job, bench, by_hand)
    if entry.use == HAND:
        return replace(equipment, by_hand=bool(named))
    try:
        profiles = [load_meter_profile(Address.parse(one.use).profile) for one in named]
    except ProfileError as problem:
        raise BadInput(str(problem)) from None
    ranges = next((p.functions[Quantity.VOLTAGE_AC].ranges for p in profiles if Quantity.VOLTAGE_AC in p.functions), ())
    spans = tuple(one.full_scale for one in ranges) or equipment.volt_spans
    reads = frozenset(quantity for profile in profiles for quantity in profile.functions)
    return replace(equipment, quantities=reads, volt_spans=spans, by_hand=False, at_once=len(named) > 1)


def plan_of(procedure: Procedure, job: Job, name: str) -> dict[str, Any]:
    """Each step with its readings, asks, hazard, what it rules out, what guards it, its minutes; as it is printed."""
    from bench.acceptance.ask import ask_object
    from bench.acceptance.dry_bench import DryBench
    from bench.acceptance.procedure import Finished
    from bench.acceptance.requests import StepDone, Take

    context = procedure.context
    reads = {phase.name: phase.planned(context) for phase in procedure.phases}
    asked: dict[str, list[Any]] = {phase.name: [] for phase in procedure.phases}
    bench = DryBench(context.expectation)
    request = procedure.start()
    while not isinstance(request, Finished):
        if not isinstance(request, (StepDone, Take)):
            asked[procedure.phase].append(request)
        request = procedure.feed(bench.answer(request))
    undone = {one.id: one.reason for one in request.result.not_done}
    steps = []
    for phase in procedure.phases:
        planned = reads[phase.name]
        numbered = [(one, f"p{number}") for number, one in enumerate(asked[phase.name], start=1)]
        minutes = phase.about.minutes_for(len(planned)) if numbered or phase.about.minutes == 0 else 0.0
        steps.append(
            {
                "step": phase.name,
                "what": phase.about.words,
                "reads": [{"id": one.id, "label": one.label, "required": one.required} for one in planned],
                "asks": [ask_object(one, number) for one, number in numbered],
                "told": _told(asked[phase.name], job),
                "mains": phase.about.mains,
                "hazard_volts": max((getattr(one, "hazard", 0.0) for one in asked[phase.name]), default=0.0),
                "rules_out": list(phase.about.rules_out),
                "guarded_by": list(phase.about.guards),
                "minutes": minutes,
                "not_done": [{"id": i, "reason": why} for i, why in undone.items() if _belongs(i, phase.name, planned)],
            }
        )
    return {
        "schema": 1,
        "plan": name,
        "stage": str(context.stage),
        "steps": steps,
        "minutes": sum(one["minutes"] for one in steps),
    }


def _belongs(step: str, phase: str, planned: list[Any]) -> bool:
    return step == phase or step in {one.id for one in planned}


def _told(requests: list[Any], job: Job) -> list[str]:
    """In words, each thing once: what is live goes to zero again is not told each time."""
    from bench.acceptance.requests import Excite
    from bench.operators.request_lines import request_lines

    told: list[str] = []
    for one in requests:
        if isinstance(one, Excite) and one.volts == 0:
            continue
        lines = request_lines(one, job, counts_down=True)
        text = "\n".join([lines[0].removeprefix("> "), *lines[1:]])
        if text not in told:
            told.append(text)
    return told


def plan_text(plan: dict[str, Any]) -> str:
    """The plan for a person."""
    stage = "" if plan["stage"] == plan["plan"] else f", {plan['stage']}"
    lines = [f"{plan['plan']}{stage}: {len(plan['steps'])} steps, about {_time(plan['minutes'])}."]
    lines.append("A plan: nothing is asked, fed or kept. Minutes are common practice, no source.")
    for number, step in enumerate(plan["steps"], start=1):
        lines += ["", f"{number}  {step['step']}: {step['what']}  ({_time(step['minutes'])})"]
        lines += [f"   {line}" for told in step["told"] for line in _bulleted(told)]
        if step["hazard_volts"]:
            where = "mains" if step["mains"] else "low volts"
            lines.append(f"   hazard: {where}, up to {step['hazard_volts']:.0f} V between terminals")
        elif step["mains"] and step["asks"]:
            lines.append("   hazard: mains on the whole equipment")
        required = [one["id"] for one in step["reads"] if one["required"]]
        other = [one["id"] for one in step["reads"] if not one["required"]]
        if required or other:
            both = required + [f"({one})" for one in other]
            lines.append(f"   reads (in brackets: not required): {', '.join(both)}")
        if step["rules_out"]:
            lines.append(f"   rules out: {', '.join(step['rules_out'])}")
        if step["guarded_by"]:
            lines.append(f"   guarded by: {', '.join(step['guarded_by'])}")
        lines += [f"   not on this bench: {one['id']}: {one['reason']}" for one in step["not_done"]]
    return "\n".join(lines)


def _bulleted(told: str) -> list[str]:
    first, *rest = told.split("\n")
    return [f"- {first}", *(f"  {line}" for line in rest)]


def _time(minutes: float) -> str:
    whole = round(minutes)
    return f"{whole} min" if whole < 120 else f"{whole // 60} h {whole % 60:02} min"
