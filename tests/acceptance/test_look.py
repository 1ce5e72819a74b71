"""What is seen and counted before anything is measured."""

from __future__ import annotations

import math

import pytest

from bench.acceptance.context import Wound
from bench.acceptance.decision import Verdict
from bench.acceptance.procedure import Finished
from bench.acceptance.requests import Confirm, Connect, Excite, Request, Skipped, Take
from bench.acceptance.result import StepResult, TestResult
from bench.job.expectation import Variant
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal


def _run(wound: dict[str, Wound], **bench: object) -> tuple[TestResult, list[Request]]:
    procedure = new_procedure(wound=wound)
    ideal = IdealBench(procedure.context.expectation, **bench)  # type: ignore[arg-type]
    return ideal.run(procedure), ideal.seen


def _step(result: TestResult, name: str) -> StepResult:
    return next(one for one in result.steps if one.id == name)


def test_leads_core_and_each_screen_are_looked_at_before_any_reading() -> None:
    _, bench = run_ideal()
    looked = [r.step for r in bench.seen if isinstance(r, Confirm) and r.step.startswith("look:")]
    first_reading = next(i for i, r in enumerate(bench.seen) if isinstance(r, Connect))
    assert looked == ["look:leads", "look:core", "look:screen"]
    assert [r.step for r in bench.seen[:first_reading] if isinstance(r, Confirm)][1:] == looked
    assert not [r for r in bench.seen[:first_reading] if isinstance(r, Excite)]


def test_what_is_seen_to_be_wrong_leaves_the_unit_incomplete_with_the_reason() -> None:
    result, _ = run_ideal(skipped=frozenset({"look:core"}))
    assert result.verdict is Verdict.INCOMPLETE
    assert [(one.id, one.reason) for one in result.not_done] == [("look:core", "not today")]


@pytest.mark.parametrize("wound", [Wound(662, 662, 662), Wound(662.04, 662.04, 662.04), Wound(663, 661, 665)])
def test_a_count_that_may_be_the_designs_is_accepted(wound: Wound) -> None:
    result, seen = _run({"primary": wound})
    assert result.verdict is Verdict.ACCEPTED
    assert _step(result, "counts:primary").verdict is Verdict.ACCEPTED
    assert not [one for one in seen if isinstance(one, Confirm) and one.step == "counts:primary"]


def test_a_count_that_disagrees_is_told_before_any_volts_and_settled_by_the_volts() -> None:
    result, seen = _run({"heater": Wound(17, 17, 17)})
    told = next(i for i, one in enumerate(seen) if isinstance(one, Confirm) and one.step == "counts:heater")
    fed = next(i for i, one in enumerate(seen) if isinstance(one, Excite))
    assert told < fed
    assert "17 turns were counted, the design has 19" in getattr(seen[told], "text", "")
    step = _step(result, "counts:heater")
    assert step.verdict is Verdict.NOT_DONE
    assert "the volts agree with the design's 19" in step.note
    assert result.verdict is Verdict.ACCEPTED


def test_a_count_that_disagrees_stays_open_where_the_volts_are_not_read() -> None:
    skipped = frozenset({"ratio:heater", "open_circuit:heater"})
    result, _ = _run({"heater": Wound(17, 17, 17)}, skipped=skipped)
    assert _step(result, "counts:heater").verdict is Verdict.UNDECIDED


def test_a_miscount_that_the_volts_show_too_is_rejected_by_them() -> None:
    from bench.design.forward import Forward

    unit = Forward(coastal_receiver(), rules_named())(Variant(turns_added={"heater": -2}))
    procedure = new_procedure(wound={"heater": Wound(17, 17, 17)})
    result = IdealBench(unit).run(procedure)
    assert result.verdict is Verdict.REJECTED
    assert _step(result, "counts:heater").verdict is Verdict.UNDECIDED
    assert result.findings[0].fault == "turns_wrong"


def test_going_on_with_a_doubted_count_can_be_refused_and_bars_mains() -> None:
    result, seen = _run({"heater": Wound(17, 17, 17)}, skipped=frozenset({"counts:heater"}))
    assert not [one for one in seen if isinstance(one, Excite) and one.source == "variac"]
    assert "heater was counted otherwise" in next(one.reason for one in result.not_done if one.id == "first_power")


def test_a_count_without_bounds_proves_nothing() -> None:
    result, _ = _run({"primary": Wound(600, -math.inf, math.inf)})
    assert [(one.id, one.required) for one in result.not_done] == [("counts:primary", False)]
    assert result.verdict is Verdict.ACCEPTED


def test_stopping_at_the_look_leaves_nothing_live() -> None:
    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not isinstance(request, Finished):
        leads = isinstance(request, Confirm) and request.step == "look:leads"
        assert not (leads and isinstance(request, Take))
        request = procedure.feed(Skipped("a lead came off") if leads else bench.answer(request))
    assert any(one.reason == "a lead came off" for one in request.result.not_done)
