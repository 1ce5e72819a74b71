"""The last test, in the equipment: values that a person types off other testers, with a class for each limit."""

from __future__ import annotations

import pytest

from bench.acceptance.context import Equipment
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Enter
from bench.acceptance.steps.stray_field import read_field
from bench.job.model import Job
from bench.job.procedure_file import Stage, shipped_procedure
from bench.quantities import QuantityError
from bench.whole_test import procedure_for, rules_named
from tests.acceptance.ideal_bench import ALL, coastal_receiver
from tests.acceptance.short import run_short, short_procedure, step_of, undone

KINDS = ("refit", "earth_bond", "set_insulation", "set_leakage", "stray_field", "leave")


def _of_class(letter: str) -> Job:
    job = coastal_receiver()
    return job.model_copy(update={"targets": job.targets.model_copy(update={"safety_class": letter})})


def test_a_good_set_is_accepted_and_left_covered() -> None:
    file = shipped_procedure("in-equipment")
    procedure = procedure_for(coastal_receiver(), Equipment(ALL), rules_named(), procedure=file)
    result, bench = run_short(procedure)
    assert result.verdict is Verdict.ACCEPTED
    assert "capacitor" in " ".join(bench.seen[0].cautions if isinstance(bench.seen[0], Confirm) else ())
    assert step_of(result, "leave").note == "done"


def test_the_class_is_asked_once_and_not_where_the_job_says_it() -> None:
    def asked(job: Job) -> int:
        _, bench = run_short(short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=job))
        return sum(isinstance(r, Enter) and "Class of the equipment" in r.text for r in bench.seen)

    assert asked(coastal_receiver()) == 1
    assert asked(_of_class("I")) == 0


def test_class_two_has_no_earth_and_other_limits() -> None:
    procedure = short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=_of_class("II"))
    result, _ = run_short(procedure, typed={"set_leakage": "0.4 mA", "set_insulation": "1.5 Mohm"})
    assert undone(result)["earth_bond"] == "class II: no earth to read"
    assert not any(one.required for one in result.not_done)
    assert step_of(result, "set_leakage").verdict is Verdict.REJECTED
    assert step_of(result, "set_leakage").upper == 0.25e-3
    assert step_of(result, "set_insulation").verdict is Verdict.REJECTED


@pytest.mark.parametrize(
    ("step", "typed", "gated"),
    [
        ("earth_bond", "0.4 ohm", "the earth of the equipment is 0.4 ohm"),
        ("set_insulation", "0.2 Mohm", "insulation of the equipment is 0.2 Mohm"),
        ("fuse", "1 A", "a fuse of 1.00 A for 350 mA"),
    ],
)
def test_what_can_hurt_bars_mains_on_the_set(step: str, typed: str, gated: str) -> None:
    procedure = short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=_of_class("I"), reason="")
    result, bench = run_short(procedure, typed={step: typed})
    assert step_of(result, step).verdict is Verdict.REJECTED
    assert gated in undone(result)["set_leakage"]
    assert not [r for r in bench.seen if isinstance(r, Enter) and r.step == "set_leakage"]


def test_a_reading_that_is_left_out_bars_mains_too_and_leaves_the_test_incomplete() -> None:
    procedure = short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=_of_class("I"), reason="")
    result, _ = run_short(procedure, skipped=frozenset({"set_insulation"}))
    assert "not measured" in undone(result)["set_leakage"]
    assert result.verdict is Verdict.INCOMPLETE


def test_without_the_insulation_of_the_set_it_is_never_accepted() -> None:
    procedure = short_procedure("refit", "earth_bond", "leave", stage=Stage.IN_EQUIPMENT, job=_of_class("I"))
    result, _ = run_short(procedure)
    assert undone(result)["set_insulation"] == "left out of this procedure"
    assert result.verdict is Verdict.INCOMPLETE


def test_a_selector_that_nobody_looked_at_is_not_done() -> None:
    procedure = short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=_of_class("I"))
    result, _ = run_short(procedure, skipped=frozenset({"selector", "leave"}))
    assert {one.id for one in result.not_done if one.required} == {"selector", "leave"}


def test_a_tester_that_shows_nothing_reads_zero() -> None:
    procedure = short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, job=_of_class("I"))
    result, _ = run_short(procedure, typed={"set_leakage": "0.00 mA", "earth_bond": "0.00"})
    assert step_of(result, "set_leakage").verdict is Verdict.ACCEPTED
    assert step_of(result, "earth_bond").verdict is Verdict.ACCEPTED


def test_a_field_is_recorded_and_judged_by_the_workshop_s_own_limit() -> None:
    free, _ = run_short(short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT), typed={"stray_field": "12"})
    assert step_of(free, "stray_field").measured == pytest.approx(12e-6)
    assert "no limit" in step_of(free, "stray_field").note
    own = {"stray_field": {"most_tesla": 10e-6, "basis": "workshop: beside a 7 inch tube"}}
    judged, _ = run_short(short_procedure(*KINDS, stage=Stage.IN_EQUIPMENT, rules=own), typed={"stray_field": "25 uT"})
    assert step_of(judged, "stray_field").verdict is Verdict.REJECTED


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [("4", 4e-6, "T"), ("4,5 µT", 4.5e-6, "T"), ("12uT", 12e-6, "T"), ("0.01 mT", 1e-5, "T"), ("3.4 mV", 3.4e-3, "V"),
     ("50 mG", None, ""), ("much", None, "")],
)  # fmt: skip
def test_a_field_is_read_in_microtesla_or_as_volts_of_a_coil(text: str, value: float | None, unit: str) -> None:
    if value is None:
        with pytest.raises(QuantityError):
            read_field(text)
        return
    typed, found = read_field(text)
    assert (typed.value, found) == (pytest.approx(value), unit)
