"""A test that is killed anywhere goes on: nothing is asked twice, volts to zero first, and the same result."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.context import Context, Equipment
from bench.acceptance.decision import Verdict
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.procedure import Procedure
from bench.acceptance.recall import Recall
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Load, OperatorRequest, Take
from bench.acceptance.result import StepResult, TestResult
from bench.acceptance.session import TestSession
from bench.acceptance.watching import Seen
from bench.design.forward import Forward
from bench.diagnosis.diagnose import Diagnosis
from bench.whole_test import rules_named
from drivers.reading import Quantity, Reading
from tests.acceptance.ideal_bench import ALL, IdealBench, coastal_receiver


class Killed(BaseException):
    """The program is gone, in the middle of something."""


_JOB = coastal_receiver()
_RULES = rules_named()
_FORWARD = Forward(_JOB, _RULES)
_DIAGNOSIS = Diagnosis(_JOB, _RULES, _FORWARD)


def _procedure() -> Procedure:
    """A new one, with what does not change made once."""
    context = Context(_JOB, _FORWARD.design, _RULES, Equipment(ALL, series_ohms=1000.0))
    return Procedure(context, _DIAGNOSIS)


MAINS = (0.985, 1.0, 1.012)
"""By sitting: the supply's volts as a fraction of what the dial says."""


@dataclass
class Room:
    """The bench as it stands while programs come and go, with a record that outlives them.

    kills: after so many asks and readings of each sitting the program is gone; the next sitting then begins.
    """

    kills: list[int] = field(default_factory=list)
    entries: list[tuple[str, dict[str, Any]]] = field(default_factory=lambda: [("test begun", {})])
    asked: list[list[OperatorRequest | Take]] = field(default_factory=list)
    skips: frozenset[str] = frozenset()
    stops_at: str = ""

    def __post_init__(self) -> None:
        self.ideal = IdealBench(_FORWARD.design)

    def run(self) -> TestResult:
        """Sittings until one comes to the result."""
        while True:
            try:
                return self._sit_down()
            except Killed:
                self.entries.append(("test go", {}))

    def _sit_down(self) -> TestResult:
        self.asked.append([])
        self._left = self.kills.pop(0) if self.kills else 10**9
        entries = json.loads(json.dumps(self.entries))
        recall = Recall(entries, clock=lambda: self.ideal.clock, utcnow=lambda: self.ideal.now)
        return TestSession(_procedure(), self, self, self._keep, recall=recall).run()

    def _keep(self, kind: str, body: dict[str, Any]) -> None:
        self.entries.append((kind, json.loads(json.dumps(body))))

    def _tick(self, request: OperatorRequest | Take) -> None:
        self.asked[-1].append(request)
        self._left -= 1
        if self._left <= 0:
            raise Killed

    # the operator

    def make_safe(self, request: Excite) -> None:
        """Nobody is there any more: a kill leaves the volts on."""

    def ask(self, request: OperatorRequest) -> Reply:
        self._tick(request)
        if isinstance(request, Confirm) and request.step == "resumed":
            self.ideal.connected = self.ideal.excited = None
            self.ideal.loads.clear()
        if self.stops_at and request.step == self.stops_at:
            return Reply(ReplyKind.STOP, "tea")
        if request.step in self.skips and isinstance(request, (Connect, Enter)):
            return Reply(ReplyKind.SKIP, "not here")
        answer = self.ideal.answer(request)
        self.ideal.rise = 0.0  # how warm it is hangs on when it was killed, which is not what is compared here
        return Reply(ReplyKind.DONE) if answer is None else Reply(ReplyKind.VALUE, str(answer))

    # the instrument

    quantities = ALL
    volt_spans: tuple[float, ...] = (2.0, 20.0, 200.0, 750.0)
    range_error = 0.0025
    identity = "ideal"
    moves_by_hand = False
    at_once = False

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        return None

    def wave_of(self, quantity: Quantity) -> WaveReading:
        return WaveReading()

    def take(
        self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Seen = lambda value, words: None
    ) -> Reading:
        self._tick(take)
        assert self.ideal.connected == connected, "the leads are not where the procedure takes them to be"
        fed = take.quantity not in (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)
        assert (self.ideal.excited is not None) is fed, "the feed is not as the procedure takes it to be"
        if self.ideal.excited is not None and self.ideal.excited.volts > 0:
            # The mains of each sitting are others: what was read under one tells nothing of the next.
            asked = self.ideal.excited
            self.ideal.excited = replace(asked, volts=asked.volts * MAINS[len(self.asked) % len(MAINS)])
            reading = self.ideal.answer(take)
            self.ideal.excited = asked
            assert isinstance(reading, Reading)
            return reading
        reading = self.ideal.answer(take)
        assert isinstance(reading, Reading)
        return reading


def _told(result: TestResult) -> Any:
    """Of a result what does not hang on the names of readings."""
    # what stood its time is asked to stand it again, or says that it has cooled; a break leaves drift unseen, and with
    # it another doubt
    steps = [
        (one.id, one.verdict, _about(_brought(one), 1e-4), re.sub(r"± [\d.]+ %", "", one.note))
        for one in result.steps
        if not one.id.startswith("soak")
    ]
    return result.verdict, steps, [(one.id, one.reason) for one in result.not_done if not one.id.startswith("soak")]


def _brought(step: StepResult) -> float | None:
    """What was measured, over what was due at the volts of that sitting.

    The share behind the limiter is the mains', and regulation sets volts of two sittings against each other.
    """
    if step.measured is None or step.id == "first_power" or step.id.startswith("regulation:"):
        return None
    return step.measured / step.expected if step.expected else step.measured


def _about(value: float | None, within: float) -> Any:
    """What is asked for in between moves the moments of readings, and with them the weight of a reference."""
    return value if value is None else pytest.approx(value, rel=within)


WHOLE = Room()
UNBROKEN = _told(WHOLE.run())
LENGTH = len(WHOLE.asked[0])


def _check(room: Room, result: TestResult) -> None:
    assert _told(result) == UNBROKEN
    for sitting in room.asked[1:]:
        first = next((one for one in sitting), None)
        assert first is None or (isinstance(first, Confirm) and first.step == "resumed")
    typed = [one.step for sitting in room.asked for one in sitting if isinstance(one, Enter)]
    taken = [(one.step, one.quantity) for sitting in room.asked for one in sitting if isinstance(one, Take)]
    # What the program was killed in, before it was kept, is asked once more.
    again = len(room.asked) - 1
    assert len(typed) <= sum(isinstance(one, Enter) for one in WHOLE.asked[0]) + again
    whole = [(one.step, one.quantity) for one in WHOLE.asked[0] if isinstance(one, Take)]
    # and of what was read under the mains of another sitting, what has to be compared with it
    assert len(taken) <= len(whole) + 5 * again


@pytest.mark.parametrize("after", range(1, LENGTH, 19))
def test_killed_once_it_goes_on_where_it_was(after: int) -> None:
    room = Room([after])
    _check(room, room.run())


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.integers(1, 60), min_size=2, max_size=10))
def test_killed_again_and_again_it_comes_to_the_same_result(kills: list[int]) -> None:
    room = Room(list(kills))
    _check(room, room.run())


def test_what_was_skipped_stays_skipped() -> None:
    room = Room([LENGTH // 2], skips=frozenset({"insulation:ht", "polarity:heater"}))
    result = room.run()
    assert {one.id: one.reason for one in result.not_done}["insulation:ht"] == "not here"
    asked = [one.step for sitting in room.asked for one in sitting if isinstance(one, Enter)]
    assert asked.count("insulation:ht") == 1


def test_a_result_is_not_kept_twice() -> None:
    room = Room([LENGTH - 20, 12])
    room.run()
    steps = [body["id"] for kind, body in room.entries if kind == "step"]
    assert len(steps) == len(set(steps))


def test_the_cautions_are_told_in_full_to_whoever_goes_on() -> None:
    room = Room([LENGTH - 5])
    room.run()
    first = room.asked[1][0]
    assert isinstance(first, Confirm)
    assert any("Mains kills" in line for line in first.cautions)


def test_before_the_first_feed_that_can_hurt_earth_and_covers_are_confirmed_anew_with_the_cautions_in_full() -> None:
    room = Room()
    room.run()
    room.entries.append(("test go", {"again": ["low_watts", "core_watts"]}))
    room.run()
    asked = room.asked[-1]
    live = next(n for n, one in enumerate(asked) if isinstance(one, Excite) and one.hazard > 25 and one.volts > 0)
    confirmed = [one for one in asked[:live] if isinstance(one, Confirm)]
    assert "core, band and screen earthed" in confirmed[-1].text
    assert any("Mains kills" in line for line in confirmed[-1].cautions)


def test_a_step_is_read_again_and_the_rest_stands() -> None:
    room = Room()
    room.run()
    room.entries.append(("test go", {"again": ["resistance:heater"]}))
    result = room.run()
    taken = [one for one in room.asked[-1] if isinstance(one, Take)]
    assert [one.step for one in taken] == ["resistance:heater"]
    first = room.asked[-1][0]
    assert isinstance(first, Confirm)
    assert first.text.startswith("A step is read again.")
    assert result.verdict is Verdict.ACCEPTED


def test_a_whole_step_is_read_again() -> None:
    room = Room()
    room.run()
    room.entries.append(("test go", {"again": ["open_circuit"]}))
    assert room.run().verdict is Verdict.ACCEPTED
    fed = [one for one in room.asked[-1] if isinstance(one, (Excite, Load, Take))]
    assert {one.step.partition(":")[0] for one in fed} <= {"open_circuit"}
    assert isinstance(room.asked[-1][0], Confirm)


def _results(room: Room) -> list[str]:
    return [body["verdict"] for kind, body in room.entries if kind == "result"]


def test_broken_off_while_a_step_is_read_again_no_result_hides_the_one_before() -> None:
    room = Room()
    room.run()
    room.stops_at = "resistance:heater"
    room.entries.append(("test go", {"again": ["resistance:heater"]}))
    assert room.run().verdict is Verdict.INCOMPLETE  # of this sitting
    assert _results(room) == ["accepted"]
    room.stops_at = ""
    room.entries.append(("test go", {}))
    assert room.run().verdict is Verdict.ACCEPTED
    assert _results(room) == ["accepted", "accepted"]


def test_a_first_sitting_that_is_broken_off_has_its_result() -> None:
    room = Room(stops_at="resistance:heater")
    room.run()
    assert _results(room) == ["incomplete"]
