"""A winding is tried on a few volts before it is buried: which one is fed, how many volts, what the others read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.design.plan import plan_of
from bench.design.trial_ratio import HIGHEST_TERMINAL, LAMINATIONS, sheet_thickness, trials
from bench.job.core import Core
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.job.winding import Tap
from bench.whole_test import rules_named

RECEIVER = read_job(example_job("coastal-receiver"))
OPENER = read_job(example_job("gate-opener"))
JOBS = pytest.mark.parametrize("job", [RECEIVER, OPENER], ids=["coastal-receiver", "gate-opener"])


@JOBS
def test_no_winding_that_is_on_gets_more_than_the_limit(job: Job) -> None:
    plan = plan_of(job)
    for number, trial in enumerate(trials(plan, rules_named()), start=1):
        turns = {one.name: one.winding.turns or 0 for one in plan.windings[:number]}
        most = max(trial.volts * one / turns[trial.fed] for one in turns.values())
        assert most == pytest.approx(trial.highest)
        assert most <= HIGHEST_TERMINAL


@JOBS
def test_flux_stays_where_ratios_are_read_well(job: Job) -> None:
    plan = plan_of(job)
    thickness = sheet_thickness(job.core)
    assert thickness is not None
    for trial in trials(plan, rules_named()):
        turns = plan.winding(trial.fed).winding.turns or 0
        area = plan.shape.tongue * LAMINATIONS * thickness
        assert trial.flux_density == pytest.approx(trial.volts / (math.pi * math.sqrt(2) * 50 * turns * area))
        assert 0.3 <= trial.flux_density <= 0.8


@JOBS
def test_what_is_read_is_the_ratio_of_turns_less_what_the_fed_winding_loses(job: Job) -> None:
    plan = plan_of(job)
    for trial in trials(plan, rules_named()):
        turns = {one.name: one.winding.turns or 0 for one in plan.windings} | {"search coil": 10}
        for reading in (one for one in trial.readings if "." not in one.of):
            ratio = turns[reading.of] / turns[trial.fed]
            assert 0.97 * ratio < reading.per_volt < ratio
            assert reading.u is not None
            assert 0 < reading.u < 0.01 * ratio


def test_the_first_winding_is_read_by_a_search_coil_and_a_tapped_one_by_its_sections() -> None:
    by_name = {trial.after: [one.of for one in trial.readings] for trial in trials(plan_of(RECEIVER), rules_named())}
    assert by_name["primary"] == ["search coil"]
    assert by_name["ht"] == ["ht", "ht.centre", "ht.finish"]
    assert by_name["heater"] == ["heater"]


def test_a_section_of_the_winding_that_is_fed_keeps_its_ratio() -> None:
    """Its own ohms take their share of its own volts."""
    tapped = OPENER.winding[0].model_copy(update={"taps": (Tap(name="mid", turn=405),)})
    job = OPENER.model_copy(update={"winding": (tapped, OPENER.winding[1])})
    first = trials(plan_of(job), rules_named())[0]
    share = {one.of: one.per_volt for one in first.readings}
    assert share["primary.mid"] == pytest.approx(405 / 1620)
    assert share["primary.finish"] == pytest.approx(1215 / 1620)


@pytest.mark.parametrize(
    ("steel", "metres"),
    [("m400-50a", 0.5e-3), ("m530-65a", 0.65e-3), ("m19-29ga", None), ("nonoriented-unknown", None)],
)
def test_thickness_is_in_the_name_of_a_european_steel_only(steel: str, metres: float | None) -> None:
    assert sheet_thickness(Core(steel=steel)) == (None if metres is None else pytest.approx(metres))


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(1, 4000), st.sampled_from(["0.1 mm", "0.3 mm", "1 mm"])), min_size=1, max_size=4))
def test_whatever_is_wound_no_terminal_passes_the_limit(windings: list[tuple[int, str]]) -> None:
    table = {
        "schema": 1,
        "identity": {"number": "X"},
        "core": {"lamination": "EI 120", "stack": "60 mm"},
        "winding": [
            {"name": f"w{number}", "role": "secondary", "turns": turns, "wire": wire}
            for number, (turns, wire) in enumerate(windings)
        ],
    }
    for trial in trials(plan_of(Job.model_validate(table)), rules_named()):
        assert trial.volts > 0
        assert trial.highest <= HIGHEST_TERMINAL
