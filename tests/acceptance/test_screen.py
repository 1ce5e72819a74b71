"""A screen that closes on itself, a foil that its lead does not reach, and what one end alone does not tell."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.acceptance.context import HANDS_OFF_VOLTS
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import SECOND_LOOK
from bench.acceptance.requests import Connect, Excite, Take
from bench.acceptance.result import StepResult, TestResult
from bench.design.forward import Forward
from bench.job.expectation import Variant
from bench.job.model import Job
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal

Change = Callable[[Take, Connect, float], float | None]


def _step(result: TestResult, name: str) -> StepResult:
    return next(one for one in result.steps if one.id == name)


def _between_ends(share: float | None, ohms: bool = False) -> Change:
    unit = "ohm" if ohms else "V"

    def change(take: Take, connect: Connect, value: float) -> float | None:
        if connect.to_terminal != "screen.far_lead" or not take.step.startswith("screen") or take.quantity.unit != unit:
            return value
        return None if share is None else value * share

    return change


def _one_end_out() -> Job:
    job = coastal_receiver()
    return job.model_copy(update={"screen": tuple(s.model_copy(update={"far_lead": None}) for s in job.screen)})


def _mains(bench: object) -> list[Excite]:
    return [r for r in getattr(bench, "seen", []) if isinstance(r, Excite) and r.source == "variac" and r.volts]


def test_an_open_screen_shows_one_turn() -> None:
    result, bench = run_ideal()
    step = _step(result, "screen:screen")
    assert (step.verdict, step.unit) == (Verdict.ACCEPTED, "turns")
    assert step.measured == pytest.approx(1.0, abs=1e-6)
    # 1.5 mohm of foil, and a contact of 19 times as much.
    assert "closing contact of up to 28 mohm would show" in step.note
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.step == "screen:screen" and r.volts]
    assert fed
    assert all(r.source == "low voltage" and r.hazard <= HANDS_OFF_VOLTS for r in fed)


@pytest.mark.parametrize("share", [0.0, 0.3, 0.87])
def test_a_closed_screen_is_rejected_and_bars_mains(share: float) -> None:
    procedure = new_procedure()
    foil = procedure.context.expectation.screen_ohms["screen"]
    closed = Variant(loop_conductance=(1 - share) / foil)
    bench = IdealBench(Forward(coastal_receiver(), rules_named())(closed), change=_between_ends(share))
    result = bench.run(procedure)
    step = _step(result, "screen:screen")
    assert step.verdict is Verdict.REJECTED
    assert "closes on itself" in step.note
    assert result.findings[0].fault == "screen_closed"
    assert not _mains(bench)
    assert [r for r in bench.seen if isinstance(r, Connect) and r.text == SECOND_LOOK and r.step == "screen:screen"]


def test_a_lead_in_the_air_once_is_no_closed_screen() -> None:
    taken: list[str] = []

    def once(take: Take, connect: Connect, value: float) -> float | None:
        if take.step != "screen:screen" or connect.to_terminal != "screen.far_lead":
            return value
        taken.append(take.step)
        return 0.0 if len(taken) == 1 else value

    result, _ = run_ideal(change=once)
    assert _step(result, "screen:screen").verdict is Verdict.TROUBLE
    assert result.verdict is Verdict.TROUBLE


def test_no_volts_without_proof_that_the_leads_reach_the_foil_condemn_nothing() -> None:
    result, _ = run_ideal(change=_between_ends(0.0), skipped=frozenset({"screen_foil:screen"}))
    assert _step(result, "screen:screen").verdict is Verdict.UNDECIDED


def test_leads_that_go_round_the_core_are_trouble_of_the_reading() -> None:
    result, _ = run_ideal(change=_between_ends(2.0))
    step = _step(result, "screen:screen")
    assert step.verdict is Verdict.TROUBLE
    assert "leads go round the core" in step.note


def test_a_lead_off_the_foil_is_found_by_ohms_and_bars_mains() -> None:
    result, bench = run_ideal(change=_between_ends(None, ohms=True))
    assert _step(result, "screen_foil:screen").verdict is Verdict.REJECTED
    assert result.findings[0].fault == "screen_unearthed"
    assert "does not conduct" in next(one.reason for one in result.not_done if one.id == "screen:screen")
    assert not _mains(bench)


def test_with_one_end_out_it_is_said_what_decides_and_what_is_not_excluded() -> None:
    result, bench = run_ideal(_one_end_out())
    assert result.verdict is Verdict.ACCEPTED
    told = next(one for one in result.not_done if one.id == "screen:screen")
    assert not told.required
    assert "watts at low volts" in told.reason
    assert "not excluded" in told.reason
    assert not [r for r in bench.seen if isinstance(r, Connect) and "far_lead" in r.to_terminal]
    assert "a lead broken off under the tape is not excluded" in _step(result, "earthed:screen").note


def test_a_meter_that_can_not_read_a_turn_says_which_would() -> None:
    # A hand-held meter on its 200 V range, the lowest that it has for AC: 0.1 V a digit.
    result, _ = run_ideal(floor=0.3)
    step = _step(result, "screen:screen")
    assert step.verdict is Verdict.NOT_DONE
    assert "one turn is 15.1 mV" in step.note
    assert "an AC range of 2.0 V or less would tell" in step.note
    assert not next(one for one in result.not_done if one.id == "screen:screen:value").required


def test_a_coarser_meter_still_tells_a_dead_closing() -> None:
    good, _ = run_ideal(floor=2e-3)
    assert _step(good, "screen:screen").verdict is Verdict.ACCEPTED
    assert _step(good, "screen:screen").lower == 0.5
    closed, bench = run_ideal(floor=2e-3, change=_between_ends(0.0))
    assert _step(closed, "screen:screen").verdict is Verdict.REJECTED
    assert not _mains(bench)


def test_skipped_it_is_not_done_and_nothing_is_left_live() -> None:
    result, bench = run_ideal(skipped=frozenset({"screen:screen"}))
    assert result.verdict is Verdict.INCOMPLETE
    assert "a closed screen is not excluded" in next(o.reason for o in result.not_done if o.id == "screen:screen")
    assert bench.excited is None


def test_volts_over_range_prove_nothing() -> None:
    result, _ = run_ideal(change=_between_ends(None))
    assert "overload" in next(one.reason for one in result.not_done if one.id == "screen:screen")
    assert result.verdict is Verdict.INCOMPLETE
