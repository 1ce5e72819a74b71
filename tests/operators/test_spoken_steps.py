"""What is worth saying of a count: each step once, the last of several, the way to a mark."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.operators.spoken_steps import Mark, SpokenSteps

TARGET = (Mark(130),)


def said(steps: SpokenSteps, counts: Iterable[float], marks: Iterable[Mark] = ()) -> list[str]:
    counts, marks = list(counts), list(marks)
    words = [steps.said(before, now, marks) for before, now in pairwise(counts)]
    return [each for each in words if each is not None]


def quarters(first: float, last: float) -> list[float]:
    return [n / 4 for n in range(round(first * 4), round(last * 4) + 1)]


def test_every_tenth_turn_is_said_once() -> None:
    assert said(SpokenSteps(10, marks=False), quarters(0, 45)) == ["10", "20", "30", "40"]


def test_a_count_that_adds_up_edges_is_not_too_small_by_its_last_digit() -> None:
    counts = list(accumulate([0.1] * 10, initial=0.0))
    assert counts[10] < 1.0
    assert said(SpokenSteps(1, marks=False), counts) == ["1"]
    assert said(SpokenSteps(None, marks=True), counts, [Mark(11)]) == ["10 to go"]


def test_a_count_that_jitters_over_a_step_says_it_once() -> None:
    assert said(SpokenSteps(10, marks=False), [109, 110, 109.75, 110.25, 109.5, 110, 108.5, 111]) == ["110"]


def test_a_jump_over_several_steps_says_only_the_last() -> None:
    assert said(SpokenSteps(10, marks=True), [88, 125], [Mark(500)]) == ["120"]
    assert said(SpokenSteps(None, marks=True), [100, 127.6], TARGET) == ["3"]


def test_turns_that_were_taken_off_are_counted_anew_when_they_go_on_again() -> None:
    down = list(reversed(quarters(105, 111)))
    assert said(SpokenSteps(10, marks=False), [*quarters(109, 111), *down, *quarters(105, 111)]) == ["110", "110"]


def test_going_on_in_the_middle_says_nothing_of_what_is_behind() -> None:
    assert said(SpokenSteps(10, marks=True), [110, 110.25, 111], [Mark(50), Mark(300)]) == []
    assert said(SpokenSteps(10, marks=True), quarters(105, 111), [Mark(50)]) == ["110"]


def test_the_way_to_a_mark_is_counted_down_and_steps_are_silent_meanwhile() -> None:
    words = said(SpokenSteps(1, marks=True), quarters(117, 132), TARGET)
    assert words == ["118", "119", "10 to go", "5 to go", "3", "2", "1", "target", "131", "132"]


def test_a_mark_is_said_by_its_name_and_the_next_one_is_not_counted_down_before_it() -> None:
    words = said(
        SpokenSteps(None, marks=True), quarters(90, 131), [Mark(130), Mark(128, "tap centre"), Mark(110, "tap")]
    )
    assert words == [
        "10 to go", "5 to go", "3", "2", "1", "tap",
        "10 to go", "5 to go", "3", "2", "1", "tap centre",
        "2 to go", "1", "target",
    ]  # fmt: skip


def test_a_jump_over_a_mark_says_the_mark_and_not_the_step_behind_it() -> None:
    assert said(SpokenSteps(10, marks=True), [120, 141], TARGET) == ["target"]


def test_a_mark_that_is_reached_back_and_forth_is_said_once() -> None:
    assert said(SpokenSteps(None, marks=True), [128.5, 129.8, 129.4, 130.2, 129.6, 130], TARGET) == ["target"]


def test_without_marks_and_steps_nothing_is_said() -> None:
    assert said(SpokenSteps(None, marks=False), quarters(0, 140), TARGET) == []


def test_a_count_without_bounds_is_not_spoken_of() -> None:
    assert said(SpokenSteps(1, marks=True), [5.0, math.nan, math.inf], TARGET) == []


@pytest.mark.parametrize("every", [0, -10])
def test_a_step_of_no_turns_is_refused(every: int) -> None:
    with pytest.raises(ValueError, match=f"every {every} turns, expected 1 or more"):
        SpokenSteps(every, marks=False)


@given(st.lists(st.floats(-0.5, 2.0), max_size=60), st.integers(1, 7))
def test_steps_rise_and_are_true_whatever_the_spindle_does(moves: list[float], every: int) -> None:
    """Moves of up to half a turn back: less in all than what counts as turns taken off, from any top."""
    steps = SpokenSteps(every, marks=False)
    turns, top, numbers = 0.0, 0.0, []
    for move in moves:
        before, turns = turns, max(turns + move, top - 1.9)
        top = max(top, turns)
        words = steps.said(before, turns)
        if words is not None:
            numbers.append(int(words))
            assert turns - every < numbers[-1] <= turns + 1e-5
    assert numbers == sorted(set(numbers))
    assert len(numbers) <= top / every + 1e-5
