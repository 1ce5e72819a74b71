"""Hints say what they stand on: what was taken because the job doesn't say it, and what falls short."""

from __future__ import annotations

import pytest

from bench.design.insulation_taken import insulation_taken
from bench.design.plan import plan_of
from bench.design.seats import seats
from bench.design.worth_knowing import worth_knowing
from bench.job.file import read_job
from bench.job.model import Insulation, Job, Supply
from bench.job.profiles import example_job
from bench.magnetics.insulation import Hint
from bench.whole_test import rules_named

OPENER = read_job(example_job("gate-opener"))
BARE = OPENER.model_copy(update={"insulation": Insulation()})


def _hints(job: Job) -> list[Hint]:
    return [one.hint for one in worth_knowing(plan_of(job), rules_named())]


def _with_margin(metres: float) -> Job:
    return OPENER.model_copy(update={"insulation": OPENER.insulation.model_copy(update={"margin": metres})})


def test_a_margin_that_nobody_stated_is_told_with_its_creepage() -> None:
    creepage = next(one for one in _hints(BARE) if one.what.startswith("creepage"))
    assert creepage.value == pytest.approx(4e-3)
    assert creepage.basis.endswith("margin not stated, 2 mm taken")
    stated = next(one for one in _hints(OPENER) if one.what.startswith("creepage"))
    assert "taken" not in stated.basis


def test_all_that_was_taken_is_told_with_the_build() -> None:
    build = next(one for one in _hints(BARE) if one.what.startswith("build"))
    assert build.basis.split("; ") == [
        "layers, bulge and insulation",
        "former not stated, 1 mm taken",
        "margin not stated, 2 mm taken",
        "insulation between layers not stated, nothing taken",
        "insulation between windings not stated, 0.4 mm taken",
    ]


def test_plan_and_seats_take_the_same_where_nothing_is_stated() -> None:
    plan, laid, taken = plan_of(BARE), seats(BARE), insulation_taken(BARE.insulation)
    assert plan.windings[0].inner == laid["primary"].inner == taken.former
    assert plan.windings[1].inner == pytest.approx(laid["primary"].outer + taken.between_windings)
    assert plan.between_flanges == pytest.approx(plan.shape.window_height - 2 * taken.former)


def test_a_margin_less_than_wanted_falls_short_by_what_lacks() -> None:
    short = [one for one in _hints(OPENER) if "falls short" in one.what]
    # 3 mm up to 250 V, more in proportion, at 253 V; the job has 2 mm.
    assert [one.what for one in short] == ["margin of 2 mm falls short of that by"]
    assert short[0].value == pytest.approx(3e-3 * 253 / 250 - 2e-3)
    assert not [one for one in _hints(_with_margin(3.1e-3)) if "falls short" in one.what]


def test_volts_beyond_the_rule_of_margins_leave_the_other_hints() -> None:
    supply = Supply.model_validate({"voltage": "1200 V", "frequency": "50 Hz"})
    hints = _hints(OPENER.model_copy(update={"supply": supply}))
    assert any("no rule" in one.what and "1000 V" in one.basis for one in hints)
    assert any(one.what.startswith("highest volts") for one in hints)


def test_the_inrush_says_what_remanence_it_rests_on() -> None:
    inrush = next(one for one in _hints(OPENER) if one.what.startswith("inrush"))
    assert "remanence of 0.8 of the last peak, from memory" in inrush.basis
    assert "after a direct current (an ohmmeter) it may be more" in inrush.basis
    assert "worst remanence" not in inrush.basis
