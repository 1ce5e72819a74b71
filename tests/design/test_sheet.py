"""The sheet's values are those of the plan, of the expected readings, and of the support block."""

from __future__ import annotations

import json
from dataclasses import asdict

import pytest

from bench.design.plan import plan_of
from bench.design.readings import foreseen
from bench.design.sheet import sheet_of
from bench.design.sheet_values import LEAD_OUT, SPARE, Sheet
from bench.design.sheet_words import sections, verdict
from bench.job.expected_reading import Kind
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.magnetics.copper import wire_mass, wire_resistance
from bench.whole_test import rules_named
from bench.workshop.support import support_for

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


def _sheet(job: Job) -> Sheet:
    return sheet_of(plan_of(job), rules_named())


def _bare() -> Job:
    """What a job must say for a plan, and no more."""
    return Job.model_validate(
        {
            "schema": 1,
            "identity": {"number": "X-1"},
            "core": {"lamination": "EI 96", "stack": "45 mm"},
            "winding": [{"name": "w", "role": "secondary", "turns": 40, "wire": "1.2 mm", "strands": 2}],
        }
    )


@JOBS
def test_turns_of_the_layers_add_up_to_the_running_total_and_to_the_winding(job: Job) -> None:
    for one in _sheet(job).windings:
        total = 0
        for layer in one.layers:
            total += layer.turns
            assert layer.total == total
        assert total == one.turns == job.get_winding(one.name).turns


@JOBS
def test_a_layer_runs_from_where_it_starts_by_its_turns_and_pitch(job: Job) -> None:
    for one in _sheet(job).windings:
        for layer in one.layers:
            sign = 1 if layer.traverse == "right" else -1
            assert layer.end == pytest.approx(layer.start + sign * layer.turns * layer.pitch)


@JOBS
def test_ohms_are_those_that_the_test_will_expect(job: Job) -> None:
    expected = {row.of: row for row in foreseen(job, rules_named()).rows if row.kind is Kind.RESISTANCE}
    said = {ohms.of: ohms for one in _sheet(job).windings for ohms in one.ohms}
    assert said.keys() == expected.keys()
    for name, ohms in said.items():
        assert ohms.value == pytest.approx(expected[name].value)
        assert ohms.u == pytest.approx(expected[name].u)


@JOBS
def test_wire_to_have_ready_is_the_turns_and_a_share_and_every_end(job: Job) -> None:
    sheet, plan = _sheet(job), plan_of(job)
    for one in sheet.windings:
        planned = plan.winding(one.name)
        wire = planned.winding.wire
        assert wire is not None
        length = sum(layer.turns * layer.mean_turn for layer in planned.layers)
        assert one.wire.length == pytest.approx(length)
        ends = 2 + 2 * len(planned.winding.taps)
        assert one.wire.ready == pytest.approx(length * (1 + SPARE) + ends * LEAD_OUT)
        assert one.wire.mass == pytest.approx(wire_mass(length, wire.diameter, planned.winding.strands))
        assert planned.resistance == pytest.approx(wire_resistance(length, wire.diameter, planned.winding.strands))


@JOBS
def test_the_block_is_the_one_that_the_workshop_makes_for_that_former(job: Job) -> None:
    former, plan = _sheet(job).former, plan_of(job)
    block = support_for(plan, inside=(former.inner_across, former.inner_along))
    assert (former.block_across, former.block_along, former.length) == pytest.approx(
        (block.width, block.depth, block.length)
    )


def test_an_end_is_at_the_flange_that_its_layer_reaches_or_within_the_coil() -> None:
    receiver = _sheet(RECEIVER)
    ends = {(one.name, lead.end): lead for one in receiver.windings for lead in one.leads}
    assert ends["primary", "start"].flange == "left"
    # 46 turns of the eighth layer, which runs to the left from the right flange.
    assert ends["primary", "finish"].flange == ""
    assert ends["primary", "finish"].position == pytest.approx(0.0426 - 46 * 0.000439 / 0.95)
    assert ends["heater", "finish"].flange == "right"
    assert (ends["ht", "centre"].turn, ends["ht", "centre"].tag) == (777, "4")


def test_laminations_are_counted_by_the_thickness_in_the_steels_name() -> None:
    restack = _sheet(RECEIVER).restack
    assert restack.thickness == pytest.approx(0.5e-3)
    assert restack.laminations == round(0.93 * 45 / 0.5)
    unknown = RECEIVER.model_copy(update={"core": RECEIVER.core.model_copy(update={"steel": "nonoriented-unknown"})})
    assert _sheet(unknown).restack.laminations is None


def test_a_job_without_supply_and_steel_has_a_sheet_too() -> None:
    sheet = _sheet(_bare())
    one = sheet.windings[0]
    assert one.pull_low is None  # thicker than the chart
    assert one.volts_between_layers is None
    assert one.ohms[0].u is None
    assert one.trial.current is None
    assert len(sheet.not_stated) == 4
    assert verdict(sheet) == ""


def test_cautions_come_first_and_the_local_code_first_of_all() -> None:
    first = sections(_sheet(RECEIVER))[0]
    assert [label for label, _ in first.facts][:3] == ["Local code", "Winder", "Leads"]


@JOBS
def test_nothing_is_called_safe(job: Job) -> None:
    assert "safe" not in repr(sections(_sheet(job))).lower()


def test_a_screen_whose_overlap_is_bare_is_told_in_capitals() -> None:
    bare = RECEIVER.screen[0].model_copy(update={"overlap_insulated": False})
    said = repr(sections(_sheet(RECEIVER.model_copy(update={"screen": (bare,)}))))
    assert "THE JOB SAYS THAT ITS OVERLAP IS NOT INSULATED" in said
    for one in (said, repr(sections(_sheet(RECEIVER)))):
        assert "must not close on itself" in one


def test_what_does_not_fit_is_told_with_the_millimetres() -> None:
    narrow = RECEIVER.core.model_copy(update={"window_width": 12e-3})
    sheet = _sheet(RECEIVER.model_copy(update={"core": narrow}))
    assert not sheet.fits
    assert verdict(sheet).startswith(
        "DOES NOT FIT: the build is 12.84 mm high and the window 12 mm wide, 0.8433 mm too"
    )


def test_the_values_are_one_json_document() -> None:
    document = json.loads(json.dumps(asdict(_sheet(RECEIVER))))
    assert document["steps"][0]["layers"][7]["total"] == 662
