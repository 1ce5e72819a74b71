"""What the band says is to be done now."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.dashboard.parts.look import Shape
from bench.dashboard.winding.due import due_at, due_at_the_end, time_words
from bench.winding.course import Mark, MarkKind
from bench.winding.progress import Progress, Standing
from bench.winding.sides import WindingResult
from tests.dashboard.given import progress

LAYER = Mark(88.0, MarkKind.LAYER_END, "end of layer 1", ("insulation 0.05 mm, flange to flange",))
TARGET = Mark(662.0, MarkKind.TARGET, "target", ("finish lead 2", "sleeve and anchor it"))


def waiting(*marks: Mark, at: float = 90.0) -> Progress:
    return replace(progress(at), waiting=marks)


def test_what_waits_is_said_with_what_to_do_and_its_key() -> None:
    due = due_at(waiting(LAYER), away=False)
    assert (due.head, due.words, due.more) == ("NOW", "end of layer 1", "insulation 0.05 mm, flange to flange")
    assert (due.key, due.does, due.urgent) == ("Space", "done", True)


def test_what_waits_behind_is_said_too() -> None:
    tap = Mark(87.0, MarkKind.TAP, "tap centre", ("bring out the lead",))
    due = due_at(waiting(tap, LAYER), away=False)
    assert (due.words, due.more) == ("tap centre", "bring out the lead; not done either: end of layer 1")


def test_what_was_passed_long_ago_is_overdue_and_no_more_to_be_done_just_now() -> None:
    due = due_at(waiting(LAYER, at=150.0), away=False)
    assert (due.head, due.words, due.does) == ("OVERDUE", "end of layer 1, 62 turns ago", "done")


def test_past_the_target_turns_are_taken_back_before_anything_is_made_fast() -> None:
    tap = Mark(331.0, MarkKind.TAP, "tap centre", ("bring out the lead",))
    due = due_at(waiting(TARGET, tap, at=673.0), away=False)
    assert (due.head, due.words) == ("TOO MANY", "take 11.0 turns back")
    assert (due.more, due.key) == ("Not done yet: tap centre.", "")


def test_by_hand_what_waits_has_no_key() -> None:
    assert due_at(waiting(LAYER), away=False, by_hand=True).key == ""


def test_on_hold_it_says_what_the_spindle_turned() -> None:
    held = replace(progress(90.0), standing=Standing.HELD, left_out=-2.5)
    due = due_at(held, away=False)
    assert (due.head, due.words, due.does) == ("ON HOLD", "the spindle turned -2.5 since", "go on without them")
    assert due.more == "A: go on, and count them."


def test_a_lost_line_goes_before_everything_else() -> None:
    due = due_at(waiting(LAYER), away=True)
    assert (due.head, due.key) == ("NO COUNT", "")


def test_turns_that_come_off_are_said_with_the_key_that_ends_it() -> None:
    assert due_at(replace(progress(90.0), taking_off=True), away=False).key == "O"


@pytest.mark.parametrize(("turns", "head"), [(10.0, "next"), (655.0, "SOON"), (670.0, "TOO MANY")])
def test_the_way_to_the_target(turns: float, head: str) -> None:
    assert due_at(progress(turns), away=False).head == head


def test_the_end_says_what_is_due_there_and_what_was_never_said_to_be_done() -> None:
    due = due_at_the_end(WindingResult(waiting(TARGET, LAYER, at=662.0)))
    assert (due.head, due.words, due.shape) == ("WOUND", "primary: 662.0 of 662 turns", Shape.TICK)
    assert due.more == "Now: finish lead 2, sleeve and anchor it. Never said to be done: end of layer 1."


def test_ends_of_many_layers_are_said_by_their_numbers() -> None:
    ends = tuple(replace(LAYER, turn=88.0 * n, name=f"end of layer {n}") for n in (7, 3, 2))
    due = due_at_the_end(WindingResult(waiting(*ends, at=662.0)))
    assert due.more == "Never said to be done: ends of layers 2, 3, 7."


def test_an_end_before_the_target_is_no_tick() -> None:
    due = due_at_the_end(WindingResult(progress(600.0)))
    assert (due.head, due.shape) == ("ENDED", Shape.QUERY)


def test_what_was_left_is_not_called_wound() -> None:
    assert due_at_the_end(WindingResult(progress(662.0), left=True)).head == "LEFT"


@pytest.mark.parametrize(
    ("seconds", "words"), [(None, "–"), (40.0, "40 s"), (200.0, "3 min 20 s"), (3900.0, "1 h 05 min")]
)
def test_a_time_to_go_in_words(seconds: float | None, words: str) -> None:
    assert time_words(seconds) == words
