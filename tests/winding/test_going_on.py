"""A person's words in the middle of a winding, and a program that ends at any instant: nothing is lost."""

from __future__ import annotations

import pytest

from bench.winding.session import WindingSession
from bench.winding.state import WindingState
from drivers.countline import HallLine

from .desk import PER, WINDING, Board, Desk


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


def test_a_count_that_is_where_it_was_before_it_was_corrected_has_moved() -> None:
    """The same number as that of the line before is another place once a person said where the coil stands."""
    desk = Desk()
    desk.turn(39.875)
    desk.say("done")
    desk.say("set 30 counted")
    assert [mark.name for mark in desk.session.progress.waiting] == []  # type: ignore[union-attr]
    desk.turn(9.875)
    assert [mark.name for mark in desk.session.progress.waiting] == ["end of layer 1"]  # type: ignore[union-attr]
    assert desk.kept.turns == 39.875


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


def test_the_end_of_a_layer_that_was_marked_by_mistake_is_taken_back() -> None:
    desk = Desk()
    assert desk.say("undo") == "no layer was marked full"
    desk.turn(78)
    desk.say("layer")
    desk.sit_down()
    assert desk.say("undo") == "layer 2 was not full there"
    assert (desk.kept.layer_ends, desk.session.progress.layer) == ((), 2)
    assert [mark.name for mark in desk.session.progress.waiting] == ["tap centre", "end of layer 1"]
    assert desk.say("undo") == "no layer was marked full"
    desk.turn(2)
    assert "end of layer 2" in desk.kept.waiting


def test_of_two_layers_that_were_marked_the_last_is_taken_back_first() -> None:
    desk = Desk()
    desk.turn(38)
    desk.say("layer")
    desk.turn(30)
    desk.say("layer")
    assert desk.kept.layer_ends == (38.0, 68.0)
    assert desk.say("undo") == "layer 2 was not full there"
    assert desk.kept.layer_ends == (38.0,)
    assert desk.session.progress.turns_of_layer == 40
    assert desk.say("undo") == "layer 1 was not full there"
    assert desk.kept.layer_ends == ()


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
    for line in ("hold", "set 20 counted", "back 1", "turn", "layer", "undo"):
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
