"""What a sheet's text says of former, wire, leads and core is read back and held against plan and job."""

from __future__ import annotations

import re

import pytest

from bench.design.plan import PlannedScreen, PlannedWinding, plan_of
from bench.design.trial_ratio import trials
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.magnetics.copper import wire_mass
from bench.magnetics.insulation import margin_wanted
from bench.whole_test import rules_named
from tests.design import sheet_reader as reader
from tests.design.sheet_reader import agrees, cells, printed, rows_under

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


@JOBS
def test_wire_to_have_ready_is_enough_and_its_mass_that_of_its_length(job: Job) -> None:
    plan = plan_of(job)
    rows = rows_under(reader.sections_of(job)["Have ready"], "winding  ")
    assert [row[0] for row in rows] == [one.name for one in plan.windings]
    for row, one in zip(rows, plan.windings, strict=True):
        wire = one.winding.wire
        assert wire is not None
        ready = one.wire_length * 1.05 + 0.3 * (2 + 2 * len(one.winding.taps))
        mass = wire_mass(ready, wire.diameter, one.winding.strands)
        assert row[1] == wire.name
        expected = (one.winding.strands, one.wire_length, ready, one.mass * 1e3, mass * 1e3)
        for cell, value in zip(row[2:], expected, strict=True):
            assert printed(cell).is_near(value)


@JOBS
def test_former_and_unit_have_the_sizes_of_the_core(job: Job) -> None:
    plan, found = plan_of(job), reader.sections_of(job)
    a, s, wall = plan.shape.tongue * 1e3, plan.stack * 1e3, plan.former * 1e3
    lines = iter(found["Former and block"])
    assert agrees(
        "[ ] inside # mm x # mm: tongue # mm x stack # mm and # mm of clearance, taken; *", next(lines),
        a + 0.3, s + 0.3, a, s, 0.3,
    )  # fmt: skip
    assert agrees(
        "[ ] wall and flanges # mm: tube # mm x # mm outside, # mm between flanges, at most # mm over them",
        next(lines),
        wall, a + 0.3 + 2 * wall, s + 0.3 + 2 * wall, plan.between_flanges * 1e3, plan.shape.window_height * 1e3,
    )  # fmt: skip
    assert agrees("[ ] flanges no wider than # mm across *", next(lines), a + 2e3 * plan.shape.window_width)
    assert agrees(
        "[ ] block inside it, # mm x # mm x # mm for *", next(lines), a + 0.1, s + 0.1, plan.shape.window_height * 1e3
    )
    assert agrees("[ ] a cheek plate, * --inside #mmx#mm draws both", next(lines), a + 0.3, s + 0.3)
    facts = dict(cells(line) for line in found["The unit"])
    assert agrees(
        "the build is # mm high, # mm of the window's width stay free; the former's clearance takes # mm of that",
        facts["room"], plan.outer * 1e3, plan.room_left * 1e3, 0.15,
    )  # fmt: skip
    assert facts["unit"] == job.identity.equipment
    assert job.supply is not None
    assert agrees("# V, # Hz", facts["supply"], job.supply.voltage, job.supply.frequency)
    wanted = margin_wanted(job.supply.voltage * (1 + job.supply.tolerance))
    short = facts["margin"].partition(" short")[0]
    assert agrees("# mm is # mm", short, plan.margin * 1e3, (wanted - plan.margin) * 1e3)


@JOBS
def test_the_coil_grows_across_the_tongue_as_planned(job: Job) -> None:
    plan = plan_of(job)
    rows = rows_under(reader.sections_of(job)["Order, inside first"], "step  ")
    inside = plan.shape.tongue + 0.3e-3
    for number, (row, one) in enumerate(zip(rows, plan.items, strict=True), start=1):
        assert row[0] == str(number)
        assert row[1] == (one.name if isinstance(one, PlannedWinding) else one.screen.name)
        assert printed(row[3]).is_near((inside + 2 * one.outer) * 1e3)
        if isinstance(one, PlannedWinding):
            assert one.winding.wire is not None
            layers = f"{len(one.layers)} layer" + ("s" if len(one.layers) > 1 else "")
            assert row[2] == f"{one.winding.turns} turns of {one.winding.wire.name} in {layers}"


@JOBS
def test_every_end_comes_out_where_its_turn_lies(job: Job) -> None:
    plan, found = plan_of(job), reader.sections_of(job)
    rows = iter(rows_under(found["Leads"], "winding  "))
    for number, one in enumerate(plan.items, start=1):
        if isinstance(one, PlannedScreen):
            continue
        facts = dict(cells(line) for line in found[reader.heading(number, one)] if len(cells(line)) == 2)
        places = {"start": (0, one.layers[0].start), "finish": (one.winding.turns or 0, one.layers[-1].end)}
        places |= {tap.name: (tap.turn, tap.position) for layer in one.layers for tap in layer.taps}
        for end in one.winding.lead_names:
            row, (turn, place) = next(rows), places[end]
            assert row[:2] == [one.name, end]
            lead = one.winding.lead(end)
            assert row[2:5] == [lead.tag or "-", lead.colour or "-", lead.side or "-"]
            at_flange = "flange" in row[5]
            assert at_flange or agrees("# mm from left", row[5], place * 1e3)
            assert printed(row[6].removesuffix(" mm")).is_near(one.overall * one.winding.strands * 1e3)
            where = facts[end].split("; ")[0]
            template = ("" if not turn else "after turn #, ") + (
                f"{'left' if place < plan.between_flanges / 2 else 'right'} flange"
                if at_flange
                else "# mm from the left flange, over the coil on a strip of insulation"
            )
            assert agrees(template, where, *([turn] if turn else []), *([] if at_flange else [place * 1e3]))
            tag = f"tag {lead.tag}" if lead.tag else ""
            assert facts[end].split("; ")[1] == ", ".join(
                filter(None, (tag, lead.colour, f"side {lead.side}" if lead.side else ""))
            )
    for screen in plan.screens:
        row = next(rows)
        assert row[:3] == [screen.screen.name, "earth", screen.screen.lead.tag]
        assert printed(row[6].removesuffix(" mm")).is_near(screen.screen.thickness * 1e3)
    assert next(rows, None) is None


@JOBS
def test_as_many_laminations_go_in_as_the_stack_holds(job: Job) -> None:
    thick = {"m400-50a": 0.5, "m530-65a": 0.65}[job.core.steel]
    stack = (job.core.stack or 0) * 1e3
    lines = reader.sections_of(job)["Restack"]
    template = (
        "[ ] stack # mm pressed, about # E and as many I of # mm (by the name of the steel); counted: E ______ I ______"
    )
    assert agrees(template, lines[0], stack, stack * job.core.stacking_factor / thick, thick)
    assert agrees("[ ] interleaved #x#: # from one side, # from the other; *", lines[1], 1, 1, 1, 1)


@JOBS
def test_figures_that_are_the_same_on_every_sheet_stand_where_they_should(job: Job) -> None:
    plan, text = plan_of(job), " ".join(reader.text_of(job).split())
    wires = [one.winding.wire.diameter for one in plan.windings if one.winding.wire is not None]
    fine = sum(one <= 0.8135e-3 for one in wires)
    turns = [one.winding.turns for one in plan.windings]
    wide, layers, windings = (one * 1e3 for one in (plan.between_flanges, plan.between_layers, plan.between_windings))
    for phrase, times in {
        f"Winding sheet {job.identity.number}: {job.identity.name}": 1,
        "(IEC 61558-1, from memory": 1,
        "with 5 % more and 0.3 m for each end": 1,
        f"{wide:.4g} mm wide, flange to flange: {layers:.4g} mm between layers; {windings:.4g} mm in all between": 1,
        f"tongue give it {(plan.shape.tongue + 2 * plan.shape.window_width) * 1e3:.1f} mm": 1,
        "N, 50 to 80 % of a wire maker's chart": fine,
        "N on each strand, 50 to 80 % of a wire maker's chart": 0,
        "has wire of 0.079 to 0.813 mm": len(wires) - fine,
        "block out, 12 laminations in for now": len(turns),
        "put 10 turns of hook-up wire round": 1,
        "thinner than 0.5 mm solder a flexible lead": 1,
        "uncertainty, k = 2. Copper reads 0.39 % more for each kelvin above 20 °C": 1,
        f"core {job.core.lamination}, stack {(job.core.stack or 0) * 1e3:g} mm, window "
        f"{plan.shape.window_width * 1e3:g} mm x {plan.shape.window_height * 1e3:g} mm": 1,
    }.items():
        assert text.count(phrase) == times, phrase
    for one in plan.windings:
        assert f"{one.winding.turns} turns counted: turnproof wind JOB {one.name}" in text
    for one in plan.screens:
        foil = (one.screen.thickness * 1e3, one.width * 1e3, one.length * 1e3)
        assert "copper foil, {:.4g} mm thick, {:.4g} mm wide, {:.4g} mm long".format(*foil) in text
    highest = [f"no terminal is over {_three(one.highest)} V" for one in trials(plan, rules_named())]
    assert sorted(re.findall(r"no terminal is over [\d.]+ V", text)) == sorted(highest)


def _three(value: float) -> str:
    return f"{value:.1f}"
