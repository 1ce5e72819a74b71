"""Series sums of windings that are alike, and windings that are to be paralleled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from bench.acceptance.context import HANDS_OFF_VOLTS
from bench.acceptance.decision import Verdict
from bench.acceptance.procedure import Finished
from bench.acceptance.requests import Confirm, Connect, Excite, Request, Skipped, Take
from bench.acceptance.result import StepResult, TestResult
from bench.design.forward import Forward
from bench.job.expectation import Variant
from bench.job.model import Job
from bench.job.winding import Winding
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal

Change = Callable[[Take, Connect, float], float | None]


def _two_heaters(**second: Any) -> Job:
    """The receiver with another heater winding like the first."""
    job = coastal_receiver()
    heater = job.get_winding("heater")
    other = heater.model_copy(update={"name": "heater2", **second})
    return job.model_copy(update={"winding": (*job.winding, other)})


def _step(result: TestResult, name: str) -> StepResult:
    return next(one for one in result.steps if one.id == name)


def _tested(job: Job, variant: Variant, **bench: Any) -> tuple[TestResult, IdealBench]:
    ideal = IdealBench(Forward(job, rules_named())(variant), **bench)
    return ideal.run(new_procedure(job)), ideal


def _mains(bench: IdealBench) -> list[Excite]:
    return [r for r in bench.seen if isinstance(r, Excite) and r.source == "variac" and r.volts]


def test_windings_that_are_not_alike_are_not_joined() -> None:
    _, bench = run_ideal()
    assert not [r for r in bench.seen if getattr(r, "step", "").startswith(("sum", "bucking", "parallel"))]


def test_sum_and_difference_of_two_that_are_alike() -> None:
    result, bench = run_ideal(_two_heaters())
    assert result.verdict is Verdict.ACCEPTED
    assert _step(result, "sum:heater-heater2").measured == pytest.approx(38, abs=0.01)
    assert _step(result, "bucking:heater-heater2").measured == pytest.approx(0, abs=0.01)
    joined = {
        r.step: (r.links, r.from_terminal, r.to_terminal) for r in bench.seen if isinstance(r, Connect) and r.links
    }
    assert joined["sum:heater-heater2"] == ((("heater.finish", "heater2.start"),), "heater.start", "heater2.finish")
    assert joined["bucking:heater-heater2"] == ((("heater.finish", "heater2.finish"),), "heater.start", "heater2.start")


def test_the_link_is_confirmed_to_be_off_before_anything_else_is_fed() -> None:
    _, bench = run_ideal(_two_heaters())
    last = max(i for i, r in enumerate(bench.seen) if getattr(r, "step", "").startswith("bucking"))
    off = next(i for i, r in enumerate(bench.seen) if isinstance(r, Confirm) and r.step == "sums")
    fed = next(i for i, r in enumerate(bench.seen) if i > last and isinstance(r, Excite) and r.volts)
    assert off < fed
    assert "the windings is off" in getattr(bench.seen[off], "text", "")


@pytest.mark.parametrize("step", ["polarity", "sums"])
@pytest.mark.parametrize("asked", [Confirm, Excite])
def test_a_link_that_nobody_says_is_off_bars_mains(step: str, asked: type[Request]) -> None:
    """Whether it is the question itself that is skipped, or the volts to zero before it."""
    procedure = new_procedure(_two_heaters())
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not isinstance(request, Finished):
        bench.seen.append(request)
        skipped = isinstance(request, asked) and getattr(request, "step", "") == step
        request = procedure.feed(Skipped("later") if skipped else bench.answer(request))
    assert not _mains(bench)
    reason = next(one.reason for one in request.result.not_done if one.id == "first_power")
    assert f"{step}: that the link is off was not confirmed" in reason


@pytest.mark.parametrize("turns", [1, -1])
def test_one_turn_between_two_heaters_shows_by_the_difference(turns: int) -> None:
    result, _ = _tested(_two_heaters(), Variant(turns_added={"heater2": turns}))
    step = _step(result, "bucking:heater-heater2")
    assert step.measured == pytest.approx(1.0, abs=0.02)
    assert step.verdict is Verdict.REJECTED
    assert result.findings[0].fault == "turns_wrong"
    assert result.findings[0].winding == "heater2"


def test_a_difference_that_was_designed_is_none() -> None:
    result, _ = run_ideal(_two_heaters(turns=21, layers=()))
    step = _step(result, "bucking:heater-heater2")
    assert (step.verdict, step.expected) == (Verdict.ACCEPTED, 2.0)


def test_a_winding_drawn_the_other_way_changes_its_ends() -> None:
    result, bench = run_ideal(_two_heaters(sense="counter-clockwise"))
    assert result.verdict is Verdict.ACCEPTED
    links = {r.step: r.links for r in bench.seen if isinstance(r, Connect) and r.links}
    assert links["sum:heater-heater2"] == (("heater.finish", "heater2.finish"),)


def test_linked_windings_count_together_for_the_hazard() -> None:
    job = coastal_receiver()
    other = job.get_winding("ht").model_copy(update={"name": "ht2"})
    _, bench = run_ideal(job.model_copy(update={"winding": (*job.winding, other)}))
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.step == "sum:ht-ht2" and r.volts]
    assert fed[-1].hazard == pytest.approx(fed[-1].volts * 2 * 1554 / 662)
    assert fed[-1].hazard <= HANDS_OFF_VOLTS


def test_the_flux_beside_the_core_hides_a_turn_of_very_many() -> None:
    job = coastal_receiver()
    other = job.get_winding("ht").model_copy(update={"name": "ht2"})
    result, _ = run_ideal(job.model_copy(update={"winding": (*job.winding, other)}))
    step = _step(result, "bucking:ht-ht2")
    assert step.verdict is Verdict.ACCEPTED
    assert "the flux beside the core, and the drop" in step.note
    assert not next(one for one in result.not_done if one.id == "bucking:ht-ht2:turn").required


def test_a_meter_that_can_not_tell_a_turn_still_tells_the_sense_and_says_what_would_do() -> None:
    result, _ = run_ideal(_two_heaters(), floor=0.01)
    step = _step(result, "bucking:heater-heater2")
    assert step.verdict is Verdict.ACCEPTED
    assert "a turn more or less is not told: it is 15.1 mV here" in step.note
    assert "an AC range of 2.0 V or less would tell" in step.note
    assert "bucking:heater-heater2:turn" in {one.id for one in result.not_done}


def _as_though_reversed(take: Take, connect: Connect, value: float) -> float:
    """Whoever joins them meets the other end of the second winding."""
    if not connect.links or not take.step.startswith(("sum", "bucking", "parallel")):
        return value
    turn = value / 38 if take.step.startswith("sum") else 10.0 / 662
    return 0.0 if take.step.startswith("sum") else 38 * turn


def test_volts_that_add_where_they_should_oppose_are_a_reversed_winding() -> None:
    result, bench = run_ideal(_two_heaters(), change=_as_though_reversed)
    assert _step(result, "sum:heater-heater2").verdict is Verdict.REJECTED
    assert "oppose each other" in _step(result, "sum:heater-heater2").note
    assert _step(result, "bucking:heater-heater2").verdict is Verdict.REJECTED
    assert not _mains(bench)


def test_neither_sum_nor_difference_is_laid_to_the_reading() -> None:
    def stray(take: Take, connect: Connect, value: float) -> float:
        return value * 0.7 if take.step == "sum:heater-heater2" and connect.links else value

    result, _ = run_ideal(_two_heaters(), change=stray)
    assert _step(result, "sum:heater-heater2").verdict is Verdict.TROUBLE


def test_windings_to_be_paralleled_are_compared_before_they_are_joined() -> None:
    result, bench = run_ideal(_two_heaters(parallel_with="heater"))
    assert result.verdict is Verdict.ACCEPTED
    step = _step(result, "parallel:heater-heater2")
    assert (step.verdict, step.required) == (Verdict.ACCEPTED, True)
    ask = next(r for r in bench.seen if isinstance(r, Connect) and r.step == step.id and r.links)
    assert ask.links == (("heater.start", "heater2.start"),)
    assert (ask.from_terminal, ask.to_terminal) == ("heater.finish", "heater2.finish")
    assert ask.text.startswith("They are not joined yet.")
    assert not [r for r in bench.seen if getattr(r, "step", "").startswith(("sum:", "bucking:"))]


def test_one_of_two_to_be_paralleled_reversed_is_a_dead_short_and_bars_mains() -> None:
    result, bench = run_ideal(_two_heaters(parallel_with="heater"), change=_as_though_reversed)
    step = _step(result, "parallel:heater-heater2")
    assert step.verdict is Verdict.REJECTED
    assert "dead short" in step.note
    assert step.measured == pytest.approx(38, rel=0.01)
    assert not _mains(bench)


def test_two_halves_of_a_primary_are_compared_too_at_low_volts_only() -> None:
    job = coastal_receiver()
    primary = job.get_winding("primary")
    half = primary.model_copy(update={"name": "primary2", "role": "secondary", "parallel_with": "primary"})
    halves = job.model_copy(update={"winding": (*job.winding, half)})
    result, bench = run_ideal(halves)
    step = _step(result, "parallel:primary-primary2")
    assert step.verdict is Verdict.ACCEPTED
    assert "the drop of a winding that is fed" in step.note
    fed = [r for r in bench.seen if isinstance(r, Excite) and r.step == step.id and r.volts]
    assert all(r.source == "low voltage" and r.hazard <= HANDS_OFF_VOLTS for r in fed)

    def opposed(take: Take, connect: Connect, value: float) -> float:
        return 20.0 if take.step == step.id and connect.links else value

    reversed_one, bench = run_ideal(halves, change=opposed)
    assert _step(reversed_one, step.id).verdict is Verdict.REJECTED
    assert not _mains(bench)


def test_unequal_turns_to_be_paralleled_say_what_runs_round_in_them() -> None:
    result, _ = _tested(_two_heaters(parallel_with="heater"), Variant(turns_added={"heater2": 1}))
    step = _step(result, "parallel:heater-heater2")
    assert step.verdict is Verdict.REJECTED
    # 0.347 V a turn at nominal, over about 0.13 ohm of both.
    assert "1.0 turns apart: do not join them; at nominal 2." in step.note


def test_those_to_be_paralleled_are_required() -> None:
    result, _ = run_ideal(_two_heaters(parallel_with="heater"), skipped=frozenset({"parallel:heater-heater2"}))
    assert result.verdict is Verdict.INCOMPLETE
    optional, _ = run_ideal(_two_heaters(), skipped=frozenset({"sum:heater-heater2"}))
    assert optional.verdict is Verdict.ACCEPTED


def test_volts_over_range_are_read_on_a_range_that_holds_all() -> None:
    asked: list[float | None] = []

    def low_range(take: Take, connect: Connect, value: float) -> float | None:
        if take.step != "bucking:heater-heater2" or not connect.links:
            return value
        asked.append(take.expected)
        return None if len(asked) == 1 else value

    result, _ = run_ideal(_two_heaters(), change=low_range)
    assert _step(result, "bucking:heater-heater2").verdict is Verdict.ACCEPTED
    assert asked[1] is not None
    assert asked[0] is not None
    assert asked[1] > 5 * asked[0]


def test_a_winding_without_its_like_is_refused_as_parallel() -> None:
    heater: Winding = coastal_receiver().get_winding("heater")
    with pytest.raises(ValueError, match="expected another winding's name"):
        Job.model_validate(_as_data(heater.model_copy(update={"parallel_with": "heater"})))
    with pytest.raises(ValueError, match="expected as many"):
        Job.model_validate(_as_data(heater.model_copy(update={"parallel_with": "rectifier"})))


def _as_data(heater: Winding) -> dict[str, Any]:
    job = coastal_receiver()
    windings = tuple(heater if one.name == "heater" else one for one in job.winding)
    data = {name: getattr(job, name) for name in type(job).model_fields if name != "schema_"}
    return {"schema": 1, **data, "winding": windings}
