"""A dangerous fault that the readings together tell stops the test before mains, though each lies within its limits."""

from __future__ import annotations

from typing import Any

import pytest

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Confirm, Connect, Excite, OperatorRequest, Take
from bench.acceptance.result import DANGEROUS, StepResult, TestResult
from bench.acceptance.session import TestSession
from bench.acceptance.suspicion import Suspicion
from bench.design.forward import Forward
from bench.job.expectation import Variant
from bench.job.procedure_file import shipped_procedure
from bench.whole_test import rules_named
from tests.acceptance.ideal_bench import IdealBench, coastal_receiver, new_procedure
from tests.acceptance.rehearsed import rehearsed
from tests.acceptance.short import mains, undone

BEFORE = shipped_procedure("before-varnish")


def stopped(result: TestResult, step: str = "first_power") -> str:
    return undone(result).get(step, "")


@pytest.mark.parametrize(
    ("fault", "named"),
    [("turns_shorted:heater=0.05", "a turn of heater is shorted"), ("screen_closed=0.05", "screen closes on itself")],
)
def test_a_closed_turn_that_no_limit_shows_gets_no_mains(fault: str, named: str) -> None:
    result, bench = rehearsed(coastal_receiver(), BEFORE, fault)
    assert Verdict.REJECTED not in {one.verdict for one in result.steps}
    assert "% probable that" in stopped(result)
    assert named in stopped(result)
    assert mains(bench.seen) == []
    assert not bench.bench.energised
    assert result.verdict is Verdict.INCOMPLETE
    assert result.findings[0].fault in DANGEROUS


def test_the_operator_is_told_to_unplug_with_the_reason() -> None:
    _, bench = rehearsed(coastal_receiver(), BEFORE, "turns_shorted:heater=0.05")
    (told,) = [one for one in bench.seen if isinstance(one, Confirm) and one.step == "first_power:danger"]
    assert "a turn of heater is shorted" in told.text
    assert "unplugged" in told.text
    assert told.cautions
    assert bench.seen[-1] is told


def test_a_recorded_reason_goes_past_it() -> None:
    result, bench = rehearsed(coastal_receiver(), BEFORE, "turns_shorted:heater=0.05", reason="to find the warm spot")
    assert mains(bench.seen)
    assert "first_power" in {one.id for one in result.steps}


@pytest.mark.parametrize("seed", [1, 2])
def test_a_good_unit_is_not_turned_away(seed: int) -> None:
    result, _ = rehearsed(coastal_receiver(), BEFORE, seed=seed)
    assert result.verdict is Verdict.ACCEPTED


def test_currents_that_speak_of_a_short_end_the_rise_of_the_volts() -> None:
    """Two meters at once: each point is whole before the next volts, and at half of them the currents tell."""
    procedure = new_procedure(at_once=True)

    class OfAShort:
        def __call__(self, steps: tuple[StepResult, ...]) -> tuple[Suspicion, ...]:
            seen = any(one.id == "exciting:50" for one in steps)
            return (Suspicion("turns_shorted", "ht", "", 0.8, "a turn of ht is shorted"),) if seen else ()

        def as_designed(self, steps: tuple[StepResult, ...]) -> bool:
            return False

    procedure.weigh = OfAShort()

    def more(take: Take, connect: Connect, value: float) -> float:
        return value * 5 if take.step.startswith("exciting") and take.quantity.unit == "A" else value

    bench = IdealBench(procedure.context.expectation, change=more)
    result = bench.run(procedure)
    fed = [one.volts for one in bench.seen if isinstance(one, Excite) and one.step.startswith("exciting") and one.volts]
    assert fed == [0.5 * procedure.context.expectation.voltage]
    assert {one.id for one in result.steps if one.id.startswith("exciting")} == {"exciting:50"}
    assert undone(result)["exciting:110"].startswith("no more volts: by the readings so far it is 80% probable")
    assert undone(result)["core_watts"].startswith("not started: by the readings so far")


class AtTheBench:
    """Operator, instrument and view of a session at once; `told` in the order of what came."""

    moves_by_hand = False

    def __init__(self, unit: IdealBench) -> None:
        self._unit = unit
        self.told: list[str] = []

    def ask(self, request: OperatorRequest) -> Reply:
        answer = self._unit.answer(request)
        return Reply(ReplyKind.DONE) if answer is None else Reply(ReplyKind.VALUE, answer)

    def take(self, take: Take, *rest: Any) -> Any:
        return self._unit.answer(take)

    def asked(self, request: object) -> None: ...
    def settling(self, step: str, value: float | None, state_words: str) -> None: ...
    def reading_taken(self, step: str, reading: object) -> None: ...

    def step_done(self, result: StepResult) -> None:
        self.told.append(result.id)

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        self.told.extend(words)


def test_the_session_says_behind_the_step_that_shows_it_what_the_readings_speak_for() -> None:
    unit = Forward(coastal_receiver(), rules_named())(Variant(turns_added={"heater": 2}))
    bench = AtTheBench(IdealBench(unit))
    TestSession(new_procedure(), bench, bench, lambda kind, body: None, (bench,)).run()  # type: ignore[arg-type]
    after = bench.told[bench.told.index("ratio:heater") + 1]
    assert after == "100% so far: heater has 2 turns too many"
