"""A procedure as data: what a workshop leaves out, adds, and how that is judged."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from bench.acceptance.context import Equipment
from bench.acceptance.decision import Verdict
from bench.acceptance.phases import phases_of
from bench.acceptance.procedure import Procedure
from bench.acceptance.requests import Confirm, Enter, Excite
from bench.acceptance.result import TestResult
from bench.job.file import FileProblem
from bench.job.procedure_file import ProcedureFile, read_procedure, shipped_procedure
from bench.job.profiles import known
from bench.whole_test import procedure_for, rules_named
from tests.acceptance.ideal_bench import ALL, IdealBench, coastal_receiver

PULL = {"name": "lead_pull", "text": "Pull each lead for ten seconds.", "unit": "N", "lower": 10.0, "basis": "workshop"}


def _file(without: tuple[str, ...] = (), own: tuple[dict[str, Any], ...] = (), **more: Any) -> ProcedureFile:
    kinds = [one.name for one in shipped_procedure("before-varnish").step if one.name not in without]
    steps = [{"kind": kind} for kind in kinds] + [{"own": one} for one in own]
    return ProcedureFile.model_validate({"schema": 1, "name": "ours", "step": steps, **more})


def _procedure(file: ProcedureFile, reason: str = "") -> Procedure:
    equipment = Equipment(quantities=ALL, series_ohms=1000.0)
    return procedure_for(coastal_receiver(), equipment, rules_named(), reason, procedure=file)


def _run(file: ProcedureFile, reason: str = "", **bench: Any) -> tuple[TestResult, IdealBench]:
    procedure = _procedure(file, reason)
    ideal = IdealBench(procedure.context.expectation, **bench)
    return ideal.run(procedure), ideal


@pytest.mark.parametrize("name", known("procedures"))
def test_every_shipped_procedure_can_be_walked(name: str) -> None:
    assert phases_of(shipped_procedure(name))


def test_a_step_that_guards_nothing_may_be_left_out_and_the_unit_is_accepted_without() -> None:
    result, _ = _run(_file(without=("core_watts",)))
    assert result.verdict is Verdict.ACCEPTED
    assert "core_watts" not in {step.id for step in result.steps}


def test_without_insulation_no_unit_is_accepted_and_no_mains_follows_without_a_reason() -> None:
    result, bench = _run(_file(without=("insulation",)))
    assert result.verdict is Verdict.INCOMPLETE
    assert not [one for one in bench.seen if isinstance(one, Excite) and one.source == "variac"]
    reasons = {one.id: one.reason for one in result.not_done}
    assert reasons["insulation"] == "left out of this procedure"
    assert "insulation was left out of this procedure" in reasons["first_power"]
    result, bench = _run(_file(without=("insulation",)), reason="measured this morning by the owner's tester")
    assert [one for one in bench.seen if isinstance(one, Excite) and one.source == "variac"]
    assert [one.id for one in result.not_done] == ["insulation"]
    assert result.verdict is Verdict.INCOMPLETE


def test_a_step_that_is_not_required_may_be_skipped() -> None:
    file = _file()
    steps = tuple(one.model_copy(update={"required": False}) if one.name == "core_watts" else one for one in file.step)
    result, _ = _run(file.model_copy(update={"step": steps}), skipped=frozenset({"core_watts"}))
    assert [(one.id, one.required) for one in result.not_done] == [("core_watts", False)]
    assert result.verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(
    ("typed", "verdict"), [("12", Verdict.ACCEPTED), ("12,5 N", Verdict.ACCEPTED), ("8", Verdict.REJECTED)]
)
def test_a_step_of_ones_own_is_judged_by_its_own_limits(typed: str, verdict: Verdict) -> None:
    result, bench = _run(_file(own=(PULL,)), typed={"lead_pull": typed})
    step = next(one for one in result.steps if one.id == "lead_pull")
    assert (step.verdict, step.basis, step.unit, step.lower) == (verdict, "workshop", "N", 10.0)
    assert [one for one in bench.seen if isinstance(one, Enter) and one.step == "lead_pull"]


def test_a_step_that_is_only_done_is_confirmed() -> None:
    result, bench = _run(_file(own=({"name": "hum", "text": "Listen: no hum at a metre."},)))
    assert next(one for one in result.steps if one.id == "hum").note == "done"
    assert [one for one in bench.seen if isinstance(one, Confirm) and one.step == "hum"]


def test_a_reading_of_ones_own_at_nominal_is_fed_and_judged() -> None:
    own = {
        "name": "heater_volts", "text": "Voltmeter on the heater.", "reads": "voltage_ac", "from": "heater.start",
        "to": "heater.finish", "feed": "nominal", "lower": 6.3, "upper": 7.0, "basis": "workshop",
    }  # fmt: skip
    result, _ = _run(_file(own=(own,)))
    step = next(one for one in result.steps if one.id == "heater_volts")
    assert (step.verdict, step.unit) == (Verdict.ACCEPTED, "V")
    assert step.measured == pytest.approx(230 * 19 / 662, rel=0.01)
    barred, bench = _run(_file(without=("insulation",), own=(own,)))
    assert "heater_volts" in {one.id for one in barred.not_done}
    assert not [one for one in bench.seen if isinstance(one, Excite) and one.source == "variac"]


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ('kind = "insulation"\n[[step]]\nkind = "conditions"', "guards it"),
        ('kind = "ratios"', "no kind of step, expected one of conditions"),
        ('kind = "exciting"', "expected a step with the cautions before it"),
    ],
)
def test_a_procedure_that_can_not_be_walked_says_why(tmp_path: Path, steps: str, said: str) -> None:
    path = tmp_path / "ours.toml"
    path.write_text(f'schema = 1\nname = "ours"\n[[step]]\n{steps}\n')
    with pytest.raises(ValueError, match=said):
        phases_of(read_procedure(path))


@pytest.mark.parametrize(
    ("own", "said"),
    [
        ('name = "a"\ntext = "b"\nlower = 1.0', "limits without basis"),
        ('name = "a"\ntext = "b"\nlower = 1.0\nbasis = "workshop"', "limits without unit"),
        ('name = "a"\ntext = "b"\nreads = "resistance"', "reads without from and to"),
        ('name = "a"\ntext = "b"\nfeed = "nominal"', "from, to or feed without reads"),
        (
            'name = "a"\ntext = "b"\nreads = "resistance"\nfrom = "x.start"\nto = "x.finish"\nfeed = "nominal"',
            "ohms are read on a dead unit",
        ),
    ],
)
def test_a_bad_step_of_ones_own_is_refused_in_one_line(tmp_path: Path, own: str, said: str) -> None:
    path = tmp_path / "ours.toml"
    path.write_text(f'schema = 1\nname = "ours"\n[[step]]\n[step.own]\n{own}\n')
    with pytest.raises(FileProblem, match=said) as problem:
        read_procedure(path)
    assert len(problem.value.lines) == 1
