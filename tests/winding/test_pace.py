"""How fast a winding goes of late: what the time that is left is told by."""

from __future__ import annotations

import math

import pytest

from bench.winding.pace import Pace
from drivers.counting import Count


def take(pace: Pace, speed: float, *at: float) -> float:
    for second in at:
        pace.take(Count(0.0, 0.0, 0.0, speed, second))
    return pace.turns_per_second


def test_one_line_tells_no_pace_and_the_second_tells_it_whole() -> None:
    pace = Pace()
    assert take(pace, 3.0, 0.0) == 0.0
    assert take(pace, 3.0, 0.5) == 3.0


def test_a_pause_for_paper_does_not_count() -> None:
    pace = Pace()
    take(pace, 3.0, 0.0, 1.0)
    assert take(pace, 0.0, *range(2, 300)) == 3.0
    # and the first line after it weighs no more than a second
    assert take(pace, 4.0, 400.0) == pytest.approx(3.0 + (1.0 - math.exp(-1.0 / 20.0)))


def test_another_speed_is_taken_up_to_63_percent_in_twenty_seconds() -> None:
    # a lag of the first order with 20 s: 1 - 1/e, any textbook
    pace = Pace()
    take(pace, 3.0, 0.0, 1.0)
    assert take(pace, 4.0, *range(2, 22)) == pytest.approx(3.0 + 1.0 - 1.0 / math.e)


def test_lines_that_came_at_the_same_instant_change_nothing() -> None:
    pace = Pace()
    take(pace, 3.0, 0.0, 1.0)
    assert take(pace, 9.0, 1.0, 1.0) == 3.0
