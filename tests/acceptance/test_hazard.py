"""What must hold in every course of a test, whatever is skipped, read or typed: hypothesis drives it."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.acceptance.cautions import Hazard
from bench.acceptance.context import HANDS_OFF_VOLTS
from bench.acceptance.decision import Verdict
from bench.acceptance.judging import SECOND_LOOK
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Request, Skipped, Stopped, Take, Trouble
from bench.job.model import Job
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure, run_ideal

_COURSE = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class Watch:
    """Follows a test and fails on the first request that could hurt."""

    def __init__(self, procedure: Procedure) -> None:
        self.context = procedure.context
        self.live = 0.0
        self.confirmed_mains = False

    def see(self, request: Request | Finished) -> None:
        match request:
            case Connect():
                assert self.live <= HANDS_OFF_VOLTS, f"{request.step}: leads moved with {self.live:.0f} V on the unit"
            case Confirm(step="first_power"):
                self.confirmed_mains = True
            case Excite(volts=0.0):
                self.live = 0.0
            case Excite(source="low voltage"):
                assert request.hazard <= HANDS_OFF_VOLTS
                assert request.winding == "primary"
                self.live = request.hazard
            case Excite():
                assert self.confirmed_mains, "mains before first power was confirmed"
                self.live = request.hazard
            case Finished():
                assert self.live == 0.0, "the test ended with the unit live"


def _answers() -> st.SearchStrategy[list[str]]:
    usual = st.just("good")
    odd = st.sampled_from(["skip", "stop", "trouble", "overload", "tenfold", "nothing"])
    return st.lists(st.one_of(*[usual] * 20, odd), min_size=150, max_size=150)


def _with_likes() -> Job:
    """The receiver with a second heater to be paralleled with the first, and a third that is like them."""
    job = coastal_receiver()
    heater = job.get_winding("heater")
    more = [heater.model_copy(update={"name": name}) for name in ("heater2", "heater3")]
    more[0] = more[0].model_copy(update={"parallel_with": "heater"})
    return job.model_copy(update={"winding": (*job.winding, *more)})


@_COURSE
@given(_answers(), st.sampled_from([coastal_receiver(), _with_likes()]))
def test_no_course_of_a_test_moves_leads_on_a_live_unit(course: list[str], job: Job) -> None:
    procedure = Procedure(new_procedure(job).context, lambda steps, not_done: ((), None))
    watch = Watch(procedure)
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    watch.see(request)
    for kind in course:
        if isinstance(request, Finished):
            break
        request = procedure.feed(_answer(bench, request, kind))
        watch.see(request)
    while not isinstance(request, Finished):
        request = procedure.feed(bench.answer(request))
        watch.see(request)
    done = {step.id for step in request.result.steps}
    missing = {one.id for one in request.result.not_done if one.required}
    required = {step.id for step in procedure.plan() if step.required}
    assert required <= done | missing


def _answer(bench: IdealBench, request: Request, kind: str) -> Any:
    usual = bench.answer(request)
    match kind, request:
        case ("skip", Connect() | Excite() | Enter() | Take()):
            return Skipped("no instrument for it")
        case ("stop", Connect() | Excite() | Enter() | Take()):
            return Stopped("enough")
        case ("trouble", Take()):
            return Trouble("meter gone")
        case ("overload" | "tenfold" | "nothing", Take()):
            change = {"overload": None, "tenfold": 10.0, "nothing": 1e-6}[kind]
            bench.change = lambda take, connect, value: None if change is None else value * change
            spoilt = bench.answer(request)
            bench.change = lambda take, connect, value: value
            return spoilt
    return usual


def test_a_phase_that_is_skipped_half_way_leaves_nothing_live() -> None:
    procedure = new_procedure()
    watch = Watch(procedure)
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not isinstance(request, Finished):
        watch.see(request)
        reference = isinstance(request, Take) and request.step == "open_circuit:primary"
        request = procedure.feed(Skipped("later") if reference else bench.answer(request))
    watch.see(request)


def test_volts_to_zero_that_are_not_confirmed_end_the_test() -> None:
    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not (isinstance(request, Take) and request.step == "ratio:primary"):
        request = procedure.feed(bench.answer(request))
    off = procedure.feed(Skipped("later"))
    assert isinstance(off, Excite)
    assert off.volts == 0.0
    finished = procedure.feed(Skipped("can't reach it"))
    assert isinstance(finished, Finished)
    assert any("volts to zero was not confirmed" in one.reason for one in finished.result.not_done)


def _no_ohms_of_the_heater(take: Take, connect: Connect, value: float) -> float | None:
    return None if connect.winding == "heater" and take.quantity.unit == "ohm" else value


def _halves_opposed(take: Take, connect: Connect, value: float) -> float:
    if connect.links and connect.winding == "ht":
        return value * 662 / (1554 - 662)
    return value * 1e-4 if take.step == "ratio:ht" else value


def _heater_reversed(take: Take, connect: Connect, value: float) -> float:
    return value * 1.06 if connect.links and connect.winding == "heater" else value


@pytest.mark.parametrize(
    ("change", "step"),
    [
        (_no_ohms_of_the_heater, "resistance:heater"),
        (_halves_opposed, "ratio:ht"),
        (_heater_reversed, "polarity:heater"),
    ],
)
def test_a_second_look_that_is_skipped_leaves_the_hazard_standing(change: Any, step: str) -> None:
    procedure = new_procedure()
    bench = IdealBench(procedure.context.expectation, change=change)
    seen: list[Request] = []
    request = procedure.start()
    while not isinstance(request, Finished):
        seen.append(request)
        second = isinstance(request, Connect) and request.text == SECOND_LOOK
        request = procedure.feed(Skipped("later") if second else bench.answer(request))
    assert request.result.verdict is Verdict.REJECTED
    assert "the second look was skipped: later" in next(s.note for s in request.result.steps if s.id == step)
    assert not [r for r in seen if isinstance(r, Excite) and r.source == "variac"]


def test_each_hazard_is_told_in_full_with_the_first_volts_and_in_a_line_from_then_on() -> None:
    _, bench = run_ideal()
    low = [r.cautions for r in bench.seen if isinstance(r, Excite) and r.source == "low voltage" and r.volts > 0]
    assert low[0] == Hazard.LOW_VOLTS.value[0]
    assert {cautions for cautions in low[1:]} == {(Hazard.LOW_VOLTS.value[1],)}


def test_volts_that_nobody_confirmed_count_as_live() -> None:
    procedure = new_procedure()
    watch = Watch(procedure)
    bench = IdealBench(procedure.context.expectation)
    request = procedure.start()
    while not isinstance(request, Finished):
        watch.see(request)
        feeding = isinstance(request, Excite) and request.step == "open_circuit:primary" and request.volts > 0
        request = procedure.feed(Skipped("not sure") if feeding else bench.answer(request))
    watch.see(request)


@pytest.mark.parametrize("ohms", [0.05, None])
def test_a_primary_that_may_be_another_winding_is_not_fed_even_low_volts(ohms: float | None) -> None:
    def other_leads(take: Take, connect: Connect, value: float) -> float | None:
        return ohms if take.step == "resistance:primary" else value

    procedure = new_procedure()
    procedure._reason = "I know what I do"
    bench = IdealBench(procedure.context.expectation, change=other_leads)
    result = bench.run(procedure)
    assert result.verdict is Verdict.REJECTED
    assert not [r for r in bench.seen if isinstance(r, Excite)]
    assert {"insulation:primary", "insulation:heater"} <= {step.id for step in result.steps}
