"""A person's words in the middle of a winding, and a program that ends at any instant: nothing is lost."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bench.job.winding import Role, Tap, Winding
from bench.winding.orders import Act, Order, carried_out, order_of
from bench.winding.session import WindingSession
from bench.winding.state import WindingState, state_of
from drivers.counting import Count
from drivers.countline import HallLine, Hello
from drivers.joiner import CountJoiner
from drivers.profile_files import load_counter_profile

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100, layers=(40, 40, 20), taps=(Tap(name="centre", turn=50),))
PER = 8


class Board:
    """A board that goes on counting while programs come and go, and the counter of the program that is there."""

    def __init__(self, sensors: int = 2) -> None:
        self.edges = 0
        self.number = 0
        self.sensors = sensors
        self.joiner = CountJoiner(load_counter_profile("hall"))
        self.sit_down(None)

    def sit_down(self, saved: Any) -> None:
        """A new program opens the port."""
        self.joiner = CountJoiner(load_counter_profile("hall"))
        if saved is None:
            self.joiner.set_count(0.0, "a new winding", 0.0)
        else:
            self.joiner.restore(saved)
        self.joiner.feed(Hello("1", self.sensors, 2, 1, ""), 0.0)

    def turn(self, turns: float) -> None:
        self.edges += round(turns * PER)
        self.number += 10

    # what a session needs of a counter

    def poll(self, timeout_s: float) -> Sequence[Any]:
        self.number += 1
        at = self.number * 0.5
        raw = f"{self.number} {self.edges}"
        return self.joiner.feed(HallLine(1, self.number, int(at * 1000), self.edges, PER, raw), at, at)

    def snapshot(self) -> Any:
        saved = self.joiner.snapshot()
        return None if saved is None else json.loads(json.dumps(saved))

    @property
    def count(self) -> Count | None:
        return self.joiner.count

    @property
    def doubtful(self) -> float:
        return self.joiner.doubtful

    def set_count(self, turns: float, reason: str) -> Any:
        return self.joiner.set_count(turns, reason, 0.0)

    def leave_out(self, turns: float) -> None:
        self.joiner.leave_out(turns)

    def turn_sense(self) -> None:
        self.joiner.turn_sense()

    def wound_back(self, turns: float) -> None:
        self.joiner.wound_back(turns)


class Desk:
    """Record, board and the session that is there now; `sit_down` is a program that was killed and started again."""

    def __init__(self, sensors: int = 2) -> None:
        self.entries: list[tuple[str, Any, str]] = []
        self.board = Board(sensors)
        self.session = self._session(WindingState("ht", target=100, begun=True))
        self.turn(0.0)

    @property
    def kept(self) -> WindingState:
        return state_of("ht", self.entries)

    def sit_down(self) -> None:
        state = self.kept
        self.board.sit_down(state.counter)
        self.session = self._session(state)
        self.turn(0.0)

    @classmethod
    def killed_after(cls, desk: Desk, entries: int) -> Desk:
        """The same bench, had the program been killed after so many entries."""
        other = cls()
        other.entries = desk.entries[:entries]
        other.board.edges, other.board.number = desk.board.edges, desk.board.number
        other.sit_down()
        return other

    def turn(self, turns: float) -> None:
        self.board.turn(turns)
        self.session.turn_over()

    def say(self, line: str) -> str:
        return carried_out(self.session, order_of(line))

    @property
    def turns(self) -> float:
        assert self.session.progress is not None
        return self.session.progress.turns

    def _session(self, state: WindingState, *, asks: bool = False) -> WindingSession:
        def keep(kind: str, body: dict[str, Any]) -> None:
            self.entries.append((kind, json.loads(json.dumps(body)), ""))

        return WindingSession(WINDING, 100, self.board, keep, state=state, rest=1e9, asks_of_travel=asks)


def test_turns_of_the_spindle_on_hold_are_left_out_or_added() -> None:
    desk = Desk()
    desk.turn(20)
    desk.say("hold tea")
    desk.turn(3)
    assert desk.turns == 20.0
    assert desk.session.progress is not None
    assert desk.session.progress.left_out == 3.0
    desk.say("go")
    desk.turn(1)
    assert desk.turns == 21.0
    desk.say("hold")
    desk.turn(2)
    desk.say("add")
    assert desk.turns == 23.0


def test_a_program_killed_on_hold_is_on_hold_again_and_knows_what_turned_meanwhile() -> None:
    desk = Desk()
    desk.turn(20)
    desk.say("hold")
    desk.turn(2)
    desk.board.turn(1)  # nobody listens
    desk.sit_down()
    assert desk.kept.hold is not None
    assert (desk.turns, desk.session.progress.left_out) == (20.0, 3.0)
    desk.say("go")
    desk.turn(5)
    assert desk.turns == 25.0


def test_a_count_that_is_set_stands_and_says_why_in_the_record() -> None:
    desk = Desk()
    desk.turn(20)
    desk.say("set 18 counted again")
    desk.turn(2)
    assert desk.turns == 20.0
    body = next(body for kind, body, _ in desk.entries if kind == "correction")
    assert (body["before"], body["turns"], body["reason"]) == (20.0, 18.0, "counted again")


def test_a_count_set_on_hold_does_not_lose_what_the_spindle_did_before() -> None:
    desk = Desk()
    desk.turn(20)
    desk.say("hold")
    desk.turn(4)
    desk.say("set 22 counted")
    desk.turn(1)
    desk.say("go")
    assert desk.turns == 22.0


def test_turns_wound_back_come_off_by_direction_and_by_word() -> None:
    desk = Desk()
    desk.turn(30)
    desk.turn(-4)
    assert desk.turns == 26.0
    desk.say("back 6")
    assert desk.turns == 20.0
    with pytest.raises(ValueError, match="expected from 0 to the 20 that are on"):
        desk.say("back 21")


def test_one_switch_is_told_what_went_back() -> None:
    desk = Desk(sensors=1)
    desk.turn(2)
    desk.sit_down()
    desk.turn(6)
    assert desk.board.doubtful == 6.0
    desk.say("back 2")
    assert (desk.turns, desk.session.progress.certain) == (4.0, True)


def test_turns_that_come_off_are_counted_off() -> None:
    desk = Desk(sensors=1)
    desk.turn(10)
    desk.say("turn")
    desk.turn(3)
    assert desk.turns == 7.0
    assert desk.session.progress.taking_off
    desk.sit_down()
    assert desk.kept.taking_off


def test_what_is_waited_for_is_done_one_by_one_and_survives_a_kill() -> None:
    desk = Desk()
    desk.turn(41)
    desk.turn(10)
    assert desk.kept.waiting == ("end of layer 1", "tap centre")
    desk.sit_down()
    # a tap can't be brought out later, the paper of a layer that was gone on from can't be put in any more
    assert [mark.name for mark in desk.session.progress.waiting] == ["tap centre", "end of layer 1"]
    assert desk.say("next") == "done: tap centre"
    assert desk.say("done") == "done: end of layer 1"
    desk.sit_down()
    assert desk.kept.waiting == ()
    assert desk.say("done") == "nothing was waiting"


def test_a_later_layers_end_settles_those_before_it() -> None:
    desk = Desk()
    desk.turn(81)
    desk.say("done")
    assert desk.say("done") == "done: end of layer 2"
    assert desk.kept.waiting == ()


def test_a_counter_that_knows_the_way_needs_no_word_for_turns_that_come_off() -> None:
    desk = Desk()
    desk.board.tells_direction = True
    with pytest.raises(ValueError, match="knows the way"):
        desk.say("turn")
    assert "comes off by itself" in desk.say("back 0")


def test_what_the_spindle_turned_since_an_orderly_end_is_asked_about() -> None:
    desk = Desk()
    desk.turn(20)
    state = desk.kept
    desk.board.turn(19)  # another winding, on the same spindle
    desk.board.sit_down(state.counter)
    desk.session = desk._session(state, asks=True)
    desk.turn(0.0)
    assert (desk.turns, desk.session.progress.left_out) == (20.0, 19.0)
    assert desk.session.progress.held
    desk.sit_down()  # a kill before anybody answered
    desk.say("go")
    desk.turn(1)
    assert desk.turns == 21.0


def test_a_layer_that_is_full_early_moves_the_next_and_survives_a_kill() -> None:
    desk = Desk()
    desk.turn(38)
    assert desk.say("layer") == "layer 1 ends here"
    desk.sit_down()
    assert (desk.session.progress.layer, desk.session.progress.turn_in_layer) == (2, 0.0)
    assert desk.session.progress.next_event == "tap centre in 12.0 turns"


def test_a_later_layer_that_is_full_early_leaves_those_before_it_as_on_the_sheet() -> None:
    desk = Desk()
    desk.turn(78)
    assert desk.say("layer") == "layer 2 ends here"
    assert desk.kept.layer_ends == (40.0, 78.0)
    assert desk.session.progress.layer == 3


def test_one_key_means_what_is_due() -> None:
    desk = Desk()
    desk.turn(10)
    assert "on hold" in desk.say("next")
    assert desk.say("next") == "going on at 10.0 turns"
    desk.turn(30)
    assert desk.say("next") == "done: end of layer 1"


def test_a_winding_that_ends_short_says_why_and_what_was_never_done() -> None:
    desk = Desk()
    desk.turn(60)
    desk.say("end no more room")
    kind, body, _ = desk.entries[-1]
    assert kind == "winding done"
    assert (body["turns"], body["reason"]) == (60.0, "no more room")
    assert body["not_done"] == ["end of layer 1", "tap centre"]
    assert not desk.kept.begun
    assert desk.kept.done == 60.0


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("", Order(Act.NEXT)),
        ("HOLD  for tea ", Order(Act.HOLD, None, "for tea")),
        ("set 412,5 counted again", Order(Act.SET, 412.5, "counted again")),
        ("back 3", Order(Act.BACK, 3.0)),
        ("q", Order(Act.LEAVE)),
        ("note the reel is nearly empty", Order(Act.NOTE, None, "the reel is nearly empty")),
    ],
)
def test_orders_as_they_are_typed(line: str, order: Order) -> None:
    assert order_of(line) == order


@pytest.mark.parametrize("line", ["jump", "set", "set 412", "set many of them", "back", "back three", "back 1e3"])
def test_what_is_no_order_says_what_was_expected(line: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        order_of(line)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_an_order_or_refused(line: str) -> None:
    said = ""
    try:
        order_of(line)
    except ValueError as problem:
        said = str(problem)
    assert not said or "expected" in said


TURNS = st.integers(-40, 160).map(lambda edges: ("turn", edges / PER))
WORDS = st.sampled_from(["hold", "go", "add", "next", "done", "layer", "back 1", "set 30 counted", "turn"]).map(
    lambda line: ("say", line)
)


@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, WORDS), max_size=14), st.data())
def test_a_kill_at_any_instant_changes_nothing(happenings: list[tuple[str, Any]], data: st.DataObject) -> None:
    """Two desks live through the same; at one of them the program is killed and started again at random instants."""
    whole, broken = Desk(), Desk()
    for what, how in happenings:
        for desk in (whole, broken):
            _happen(desk, what, how)
        if data.draw(st.booleans()):
            broken.sit_down()
        for get in LOOKS:
            assert get(broken) == get(whole)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, WORDS), min_size=1, max_size=10))
def test_a_kill_between_two_entries_leaves_the_coil_before_or_after_what_happened(
    happenings: list[tuple[str, Any]],
) -> None:
    desk = Desk()
    for what, how in happenings:
        before, first = desk.turns, len(desk.entries)
        _happen(desk, what, how)
        after = desk.turns
        for cut in range(first, len(desk.entries)):
            other = Desk.killed_after(desk, cut)
            assert other.turns in (before, after)


LOOKS: tuple[Callable[[Desk], Any], ...] = (
    lambda desk: desk.turns,
    lambda desk: desk.session.progress.standing,
    lambda desk: desk.session.progress.left_out,
    lambda desk: desk.session.progress.layer,
    lambda desk: desk.session.progress.next_event,
    lambda desk: [mark.name for mark in desk.session.progress.waiting],
    lambda desk: desk.session.progress.taking_off,
    lambda desk: desk.session.progress.certain,
)


def _happen(desk: Desk, what: str, how: Any) -> None:
    if what == "turn":
        desk.turn(how)
        return
    with contextlib.suppress(ValueError):
        desk.say(how)


class Coil:
    """What is really on the former, by the same happenings: kept apart from all that counts."""

    def __init__(self) -> None:
        self.turns = self.on_hold = 0.0
        self.held = False
        self.sense = 1

    def happen(self, what: str, how: Any) -> None:
        if what == "turn":
            if self.held:
                self.on_hold += how * self.sense
            else:
                self.turns += how * self.sense
            return
        word, *rest = how.split()
        if word in ("set", "back", "turn"):
            self.on_hold = 0.0  # what the spindle did on hold until then is none of the coil's
        match word:
            case "hold":
                self.on_hold = self.on_hold if self.held else 0.0
                self.held = True
            case "go":
                self.held = False
            case "add":
                self.turns += self.on_hold if self.held else 0.0
                self.held = False
            case "set":
                self.turns = float(rest[0])
            case "back":
                self.turns -= float(rest[0])
            case "turn":
                self.sense = -self.sense


COIL_WORDS = st.sampled_from(["hold", "go", "add", "back 1", "set 30 counted", "turn"]).map(lambda line: ("say", line))


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.one_of(TURNS, COIL_WORDS), max_size=14), st.data())
def test_the_count_is_what_is_on_the_former(happenings: list[tuple[str, Any]], data: st.DataObject) -> None:
    desk, coil = Desk(), Coil()
    for what, how in happenings:
        said = True
        try:
            if what == "turn":
                desk.turn(how)
            else:
                desk.say(how)
        except ValueError:
            said = False
        if said:
            coil.happen(what, how)
        if data.draw(st.booleans()):
            desk.sit_down()
        assert desk.turns == coil.turns
        assert desk.session.progress.certain


def test_a_board_that_lost_its_power_on_hold_leaves_the_coil_where_it_stood() -> None:
    desk = Desk()
    desk.turn(20)
    desk.say("hold")
    desk.board.number += 10
    for _ in range(2):
        desk.board.number += 1
        at = desk.board.number * 0.5
        desk.board.joiner.feed(HallLine(2, desk.board.number, 100 + desk.board.number, 0, PER, "new"), at, at)
    assert not desk.board.count.certain
    desk.say("go")
    assert (desk.turns, desk.session.progress.certain) == (20.0, True)


def test_a_layer_that_is_full_on_hold_is_the_one_that_was_wound() -> None:
    desk = Desk()
    desk.turn(38)
    desk.say("hold")
    desk.turn(4)
    assert desk.say("layer") == "layer 1 ends here"
    assert desk.kept.layer_ends == (38.0,)


def test_a_mark_that_lies_ahead_again_is_to_be_done_again() -> None:
    desk = Desk()
    desk.turn(55)
    desk.say("done")
    desk.say("done")
    desk.say("set 45 miscounted")
    assert desk.kept.settled == ("end of layer 1",)
    assert desk.kept.waiting == ()
    desk.turn(6)
    assert desk.kept.waiting == ("tap centre",)


def test_layers_typed_after_an_unsure_count_leave_it_unsure() -> None:
    state = WindingState("ht").after("count", {"turns": 20.0, "low": 10.0, "high": 30.0})
    typed = state.after("layer", {"turns": 5.0, "total": 25.0})
    assert (typed.low, typed.turns, typed.high) == (15.0, 25.0, 35.0)
    dial = typed.after("layer", {"turns": 1.0, "total": 26.0, "dial": True})
    assert (dial.low, dial.turns, dial.high) == (26.0, 26.0, 26.0)


class AwayBoard(Board):
    """Its line is away: what it says is its last."""

    listening = True
    sends_at_rest = True


def test_nothing_is_said_of_a_count_whose_line_is_away() -> None:
    desk = Desk()
    desk.turn(20)
    desk.board.listening = False
    for line in ("hold", "set 20 counted", "back 1", "turn", "layer"):
        with pytest.raises(ValueError, match="line is away"):
            desk.say(line)


def test_a_winding_does_not_end_while_its_line_is_away() -> None:
    now = [0.0]
    board = AwayBoard()
    session = WindingSession(WINDING, 100, board, lambda kind, body: None, rest=3.0, clock=lambda: now[0])
    session.turn_over()
    board.turn(100)
    assert not session.turn_over()
    board.listening = False
    now[0] = 10.0
    assert not session.turn_over()
    board.listening = True
    assert session.turn_over()


def test_a_winding_does_not_end_on_a_board_that_fell_silent() -> None:
    now = [0.0]
    board = AwayBoard()
    session = WindingSession(WINDING, 100, board, lambda kind, body: None, rest=3.0, clock=lambda: now[0])
    board.turn(100)
    session.turn_over()
    board.poll = lambda timeout_s: []  # type: ignore[method-assign]
    now[0] = 10.0
    assert not session.turn_over()
