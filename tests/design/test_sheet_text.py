"""What a sheet's text says of each winding and screen is read back and held against plan, job and physics."""

from __future__ import annotations

import re

import pytest

from bench.design.expected import expect
from bench.design.plan import PlannedScreen, PlannedWinding, WindingPlan, plan_of
from bench.design.trial_ratio import Trial, trials
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.magnetics.tension import CHART_STRESS
from bench.whole_test import rules_named
from tests.design import sheet_reader as reader
from tests.design.sheet_reader import agrees, cells, printed, rows_under

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


def _across(value: str, *expected: float) -> None:
    """Numbers in a cell of words, in order, against what they must be."""
    found = re.findall(r"(?<![\w.])\d+(?:\.\d+)?", value)
    assert len(found) == len(expected), value
    for text, wanted in zip(found, expected, strict=True):
        assert printed(text).is_near(wanted), (value, wanted)


@JOBS
def test_the_steps_stand_in_the_order_of_winding_with_former_before_and_core_after(job: Job) -> None:
    headings = list(reader.sections_of(job))[1:]
    steps = [reader.heading(number, one) for number, one in enumerate(plan_of(job).items, start=1)]
    assert headings == [
        "First", "The unit", "Have ready", "Former and block", "Order, inside first", *steps, "Leads", "Restack",
        "Acceptance",
    ]  # fmt: skip


@JOBS
def test_the_layers_are_those_of_the_plan(job: Job) -> None:
    plan, found = plan_of(job), reader.sections_of(job)
    for number, one in enumerate(plan.items, start=1):
        if isinstance(one, PlannedScreen):
            continue
        rows = rows_under(found[reader.heading(number, one)], "layer  ")
        assert len(rows) == len(one.layers)
        for row, layer in zip(rows, one.layers, strict=True):
            start, end, pitch = layer.start * 1e3, layer.end * 1e3, layer.pitch * 1e3
            expected = (layer.number, layer.turns, layer.first_turn + layer.turns, start, end, pitch)
            for cell, value in zip(row[:6], expected, strict=True):
                assert printed(cell).is_near(value), (row, value)
            assert row[6] == ("to the right" if layer.direction > 0 else "to the left")
            _then(row[7], plan, one, layer.number)
        assert sum(int(row[1]) for row in rows) == one.winding.turns


def _then(cell: str, plan: WindingPlan, one: PlannedWinding, number: int) -> None:
    layer = one.layers[number - 1]
    last = number == len(one.layers)
    empty = plan.length - layer.turns * layer.pitch
    expected = [float(tap.in_layer) for tap in layer.taps]
    expected += [empty * 1e3] if empty > 2 * layer.pitch else []
    after = plan.between_windings if last else plan.between_layers
    _across(cell, *expected, after * 1e3)
    assert ("cover" in cell) is last
    for tap in layer.taps:
        assert f"tap {tap.name}" in cell


@JOBS
def test_what_a_winding_is_made_of_is_that_of_the_job(job: Job) -> None:
    plan, found = plan_of(job), reader.sections_of(job)
    for number, one in enumerate(plan.items, start=1):
        if isinstance(one, PlannedScreen):
            continue
        facts = dict(cells(line) for line in found[reader.heading(number, one)] if len(cells(line)) == 2)
        wire = one.winding.wire
        assert wire is not None
        bare, over = wire.diameter * 1e3, one.overall * 1e3
        name = "" if wire.name.endswith("mm") else f"{wire.name}, "
        hand = "one wire" if one.winding.strands == 1 else "# in hand, side by side, starts together"
        numbers = (bare, over, 1.0) + (() if one.winding.strands == 1 else (float(one.winding.strands),))
        said = facts["wire"].removeprefix(name)
        template = f"# mm bare, # mm over the enamel (grade not stated, # taken: measure yours); {hand}"
        assert agrees(template, said, *numbers)
        if wire.diameter <= 0.813e-3:
            most = CHART_STRESS * 3.14159265 / 4 * wire.diameter**2
            pull = facts["pull"].partition(" N")[0]
            low, high = (float(text) for text in pull.split(" to "))
            assert low == pytest.approx(most / 2, rel=0.05)
            assert high == pytest.approx(0.8 * most, rel=0.05)
        assert agrees("# mm bare at either flange", facts["margin"], plan.margin * 1e3)
        assert facts["sense"].startswith(str(one.winding.sense))
        if len(one.layers) > 1:
            assert job.supply is not None
            assert job.primary is not None
            per_turn = job.supply.voltage * (1 + job.supply.tolerance) / (job.primary.turns or 0)
            most_turns = max(a.turns + b.turns for a, b in zip(one.layers, one.layers[1:], strict=False))
            template = "# mm after each, flange to flange; up to # V RMS between two of them, paper * (from memory)"
            assert agrees(template, facts["layers"], plan.between_layers * 1e3, most_turns * per_turn)
        for lead in one.winding.lead_names:
            tag = one.winding.lead(lead)
            for word in (tag.tag, tag.colour, tag.side):
                assert word in facts[lead]


@JOBS
def test_what_is_read_before_a_winding_is_buried_is_that_of_the_design(job: Job) -> None:
    plan, found, rules = plan_of(job), reader.sections_of(job), rules_named()
    spans = expect(job, rules, with_curve=False).spans
    by_winding = {trial.after: trial for trial in trials(plan, rules)}
    for number, one in enumerate(plan.items, start=1):
        if isinstance(one, PlannedScreen):
            continue
        lines, trial = found[reader.heading(number, one)], by_winding[one.name]
        for line in (line for line in lines if line.startswith("[ ] ohms of")):
            _, name, said = re.split(r"ohms of |\s{2,}", line.removeprefix("[ ] "))[:3]
            factor = 1e3 if " mohm" in said else 1.0
            span = spans[name]
            assert span.resistance is not None
            value = span.resistance * factor
            _across(said, value, 2 * value * span.u_log_resistance, 20)
        voltages = [line for line in lines if line.startswith("[ ] volts on")]
        assert len(voltages) == len(trial.readings)
        for line, reading in zip(voltages, trial.readings, strict=True):
            _volts_row(line, reading.of, reading.per_volt, reading.u or 0.0, trial)
        step = next(line for line in lines if line.startswith("[ ] volts:"))
        assert f"feed {trial.fed} with at most {trial.volts:g} V" in step
        flows = re.search(r"about ([\d.]+) mA flow", step)
        assert flows is not None
        assert trial.current is not None
        assert printed(flows.group(1)).is_near(1e3 * trial.current)
        turns = {each.name: each.winding.turns or 0 for each in plan.windings}
        one_turn = re.search(r"a single turn is ([\d.]+) mV", step)
        assert one_turn is not None
        assert printed(one_turn.group(1)).is_near(1e3 * trial.volts / turns[trial.fed])


def _volts_row(line: str, name: str, per_volt: float, u: float, trial: Trial) -> None:
    _, said, each = cells(line)[:3]
    assert cells(line)[0] == f"volts on {name}"
    factor = 1e3 if " mV" in said else 1.0
    _across(said, per_volt * trial.volts * factor, 2 * u * trial.volts * factor, trial.volts)
    _across(each, per_volt * (1e3 if "mV" in each else 1.0))


@JOBS
def test_the_foil_is_that_of_the_plan_and_its_ends_read_one_turn(job: Job) -> None:
    plan, found = plan_of(job), reader.sections_of(job)
    by_winding = {trial.after: trial for trial in trials(plan, rules_named())}
    for number, one in enumerate(plan.items, start=1):
        if not isinstance(one, PlannedScreen):
            continue
        lines, trial = found[reader.heading(number, one)], by_winding[one.screen.after]
        sizes = (one.screen.thickness * 1e3, one.width * 1e3, one.length * 1e3)
        assert any(agrees("foil  copper foil # mm, # mm wide, # mm long", line, *sizes) for line in lines)
        lay = f"lay on # mm of insulation over {one.screen.after}, once round *"
        assert any(agrees(lay, " ".join(line.split()), plan.between_windings * 1e3) for line in lines)
        assert any(agrees("then  cover # mm", line, plan.between_windings * 1e3) for line in lines)
        fed = plan.winding(trial.fed).winding.turns or 0
        template = (
            f"[ ] both ends out * # laminations in: feed {trial.fed} with # V; between the ends there must be one "
        )
        template += "turn's # mV; *"
        assert any(agrees(template, line, 12, trial.volts, 1e3 * trial.volts / fed) for line in lines)
