"""Plain lines joined by rule, one rule a test."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from drivers.counter_profile import CountDirection
from drivers.counting import BadLine, Bounded, Bridged, Broken, Count
from drivers.countline import Damage, PlainLine
from drivers.joiner import CountJoiner

from .joining import plain_profile

LIMIT = 30.0  # turns/s of the profile
LATENCY = 0.1  # s of the profile


def line(number: int) -> PlainLine:
    return PlainLine(number, str(number))


def at_rest(number: int, joiner: CountJoiner | None = None) -> CountJoiner:
    """A joiner that has heard `number` three times, 0.1 s apart, the last at 0.3 s."""
    joiner = joiner or CountJoiner(plain_profile())
    for tenth in (1, 2, 3):
        joiner.feed(line(number), tenth / 10)
    return joiner


def test_what_is_said_three_times_is_certain():
    joiner = CountJoiner(plain_profile())
    assert joiner.feed(line(12), 0.1) == []
    assert [each.turns for each in joiner.feed(line(12), 0.2)] == [12.0, 12.0]
    assert [(each.turns, each.certain) for each in joiner.feed(line(12), 0.3)] == [(12.0, True)]


def test_after_many_lines_without_damage_each_is_taken_for_what_it_says():
    joiner = CountJoiner(plain_profile(trusted_after=20))
    for number in range(22):
        joiner.feed(line(number), number / 10)
    (count,) = joiner.feed(line(22), 2.2)
    assert (count.turns, count.certain) == (22.0, True)
    joiner.feed(Damage("2?", "damaged"), 2.25)
    assert not joiner.feed(line(23), 2.3)[0].certain


def test_two_lines_damaged_alike_are_set_aside_when_the_count_comes_back():
    joiner = at_rest(3588)
    joiner.feed(line(358), 0.4)
    bounded = joiner.feed(line(358), 0.5)[0]
    assert isinstance(bounded, Broken)
    joiner.feed(line(3589), 0.6)
    bridged, *_, count = joiner.feed(line(3589), 0.7)
    assert isinstance(bridged, Bridged)
    assert count.turns == 3589.0
    assert count.low > 3500.0


def test_a_moving_count_lies_within_what_the_spindle_can_do():
    (count,) = at_rest(12).feed(line(13), 0.4)
    reach = LIMIT * (0.1 + LATENCY)
    assert count.turns == 13.0
    assert (count.low, count.high) == (pytest.approx(12 - reach), pytest.approx(12 + reach))


def test_a_count_that_only_goes_up_is_not_below_the_line_before():
    joiner = CountJoiner(replace(plain_profile(), direction=CountDirection.UP))
    (count,) = at_rest(12, joiner).feed(line(13), 0.4)
    assert count.low == 12.0


def test_at_rest_again_it_is_certain_again():
    joiner = at_rest(12)
    joiner.feed(line(13), 0.4)
    joiner.feed(line(13), 0.5)
    (count,) = joiner.feed(line(13), 0.6)
    assert (count.turns, count.certain) == (13.0, True)


def test_a_jump_waits_and_is_dropped_when_not_borne_out():
    joiner = at_rest(120)
    assert joiner.feed(line(920), 0.4) == []
    bad, count = joiner.feed(line(120), 0.5)
    assert isinstance(bad, BadLine)
    assert (count.turns, count.certain) == (120.0, True)


def test_a_jump_that_is_borne_out_asks_a_person():
    joiner = at_rest(120)
    joiner.feed(line(920), 0.4)
    broken, count, _ = joiner.feed(line(920), 0.5)
    assert isinstance(broken, Broken)
    assert "120 to 920" in broken.why
    assert count.low == float("-inf")


def test_a_wrong_line_within_reach_is_left_again_without_a_word():
    joiner = CountJoiner(replace(plain_profile(), direction=CountDirection.UP))
    at_rest(120, joiner).feed(line(124), 0.4)
    joiner.feed(line(120), 0.5)
    first, second = joiner.feed(line(120), 0.6)
    (third,) = joiner.feed(line(120), 0.7)
    assert (first.turns, second.turns, third.turns, third.certain) == (120.0, 120.0, 120.0, True)


def test_a_leap_to_zero_is_a_board_that_began_anew():
    joiner = at_rest(120)
    joiner.feed(line(0), 0.8)
    bounded = joiner.feed(line(0), 0.9)[0]
    assert isinstance(bounded, Bounded)
    (count,) = joiner.feed(line(0), 1.0)
    assert count.turns == 120.0
    assert (count.low, count.high) == (pytest.approx(120 - 18), pytest.approx(120 + 18))


def test_near_zero_it_may_have_gone_back_or_begun_anew():
    joiner = at_rest(20)
    joiner.feed(line(5), 0.8)
    bounded, count, _ = joiner.feed(line(5), 0.9)
    reach = LIMIT * (0.5 + LATENCY)
    assert isinstance(bounded, Bounded)
    assert count.turns == 25.0
    assert (count.low, count.high) == (pytest.approx(5.0), pytest.approx(25.0 + reach))


def test_a_board_with_a_period_that_fell_silent_may_have_begun_anew():
    joiner = at_rest(1, CountJoiner(plain_profile(period_s=0.1)))
    joiner.feed(line(1), 2.0)
    assert isinstance(joiner.feed(line(1), 2.1)[0], Bounded)


def test_damaged_lines_are_no_silence():
    joiner = at_rest(1, CountJoiner(plain_profile(period_s=0.1)))
    for tenth in range(4, 20):
        joiner.feed(Damage("?", "damaged"), tenth / 10)
    (count,) = joiner.feed(line(1), 2.0)
    assert count.certain


def test_a_line_that_comes_back_with_the_same_count_goes_on():
    joiner = at_rest(120)
    joiner.link_back()
    bridged, count = joiner.feed(line(120), 5.0)
    assert isinstance(bridged, Bridged)
    assert (count.turns, count.certain) == (120.0, True)


def test_a_board_that_starts_anew_when_opened_adds_to_the_old_count():
    joiner = at_rest(500, CountJoiner(plain_profile(resets_on_open=True)))
    joiner.link_back()
    joiner.feed(line(0), 1.2)
    bounded = joiner.feed(line(0), 1.3)[0]
    assert isinstance(bounded, Bounded)
    (count,) = joiner.feed(line(0), 1.4)
    assert count.turns == 500.0
    assert count.high - count.low == pytest.approx(2 * LIMIT * (0.9 + LATENCY))


def test_a_host_that_comes_back_to_the_same_count_goes_on():
    joiner = CountJoiner(plain_profile())
    joiner.restore(json.loads(json.dumps(at_rest(120).snapshot())))
    (count,) = joiner.feed(line(120), 9999.0)
    assert (count.turns, count.certain) == (120.0, True)


def test_a_host_that_comes_back_to_another_count_asks_a_person():
    joiner = CountJoiner(plain_profile())
    joiner.restore(at_rest(120).snapshot())
    joiner.feed(line(130), 9999.0)
    assert isinstance(joiner.feed(line(130), 9999.1)[0], Broken)


@pytest.mark.parametrize("resets_on_open", [True, False])
def test_a_board_that_began_anew_while_nobody_listened_has_the_old_count_if_the_spindle_stood(resets_on_open):
    joiner = CountJoiner(plain_profile(resets_on_open=resets_on_open))
    joiner.restore(at_rest(500, CountJoiner(plain_profile())).snapshot())
    joiner.feed(line(0), 9999.0)
    broken = joiner.feed(line(0), 9999.1)[0]
    assert isinstance(broken, Broken)
    assert (joiner.count.turns, joiner.count.certain) == (500.0, False)
    joiner.set_count(joiner.count.turns, "the spindle stood still", 9999.2)
    joiner.feed(line(0), 9999.3)
    assert joiner.feed(line(0), 9999.4)[0] == joiner.count
    assert (joiner.count.turns, joiner.count.certain) == (500.0, True)


def test_setting_the_count_while_it_moves_keeps_what_the_line_may_be_wrong_by():
    joiner = at_rest(12)
    joiner.feed(line(13), 0.4)
    joiner.set_count(0.0, "start here", 0.4)
    count = joiner.feed(line(13), 0.5)[-1]
    assert isinstance(count, Count)
    assert count.low < 0.0 < count.high


def test_setting_the_count_on_a_line_that_is_borne_out_makes_it_exact():
    joiner = at_rest(12)
    joiner.feed(line(13), 0.4)
    joiner.set_count(50.0, "counted", 0.4)
    joiner.feed(line(13), 0.5)
    (count,) = joiner.feed(line(13), 0.6)
    assert (count.turns, count.certain) == (50.0, True)


@pytest.mark.parametrize(
    ("wraps_at", "before", "after", "turns"),
    [
        (65536, 32767, -32768, 1.0),  # 16 bits, signed
        (65536, 65535, 0, 1.0),  # 16 bits, unsigned
        (4294967296, 0, 4294967295, -1.0),  # 32 bits, unsigned, below zero
    ],
)
def test_a_number_that_begins_anew_at_its_end_counts_on(wraps_at, before, after, turns):
    joiner = at_rest(before, CountJoiner(plain_profile(wraps_at=wraps_at)))
    joiner.set_count(0.0, "counted", 0.3)
    for tenth in (4, 5, 6):
        joiner.feed(line(after), tenth / 10)
    count = joiner.feed(line(after), 0.7)[-1]
    assert (count.turns, count.certain) == (turns, True)
    again = CountJoiner(plain_profile(wraps_at=wraps_at))
    again.restore(json.loads(json.dumps(joiner.snapshot())))
    again.feed(line(after), 9999.0)
    assert (again.count.turns, again.count.certain) == (turns, True)


def test_a_board_that_begins_anew_is_not_taken_for_one_at_the_end_of_its_numbers():
    joiner = at_rest(40000, CountJoiner(plain_profile(wraps_at=65536)))
    joiner.feed(line(0), 0.4)
    events = joiner.feed(line(0), 0.5)
    assert isinstance(events[0], Bounded)


def test_a_set_count_is_not_undone_by_a_line_from_before_it():
    joiner = CountJoiner(plain_profile(trusted_after=0))
    at_rest(110, joiner)
    joiner.feed(line(115), 0.4)  # damaged, and taken for what it says
    joiner.set_count(10.0, "counted", 0.4)
    joiner.feed(line(20), 0.5)
    joiner.feed(line(21), 0.6)
    assert not joiner.count.certain


def test_a_count_that_was_set_on_the_move_is_not_made_exact_by_a_board_that_began_anew():
    joiner = at_rest(4)
    joiner.feed(line(5), 0.4)
    joiner.set_count(50.0, "counted", 0.4)
    for tenth in range(50, 60):
        joiner.feed(line(0), tenth / 10)
    assert not joiner.count.certain


def test_a_board_that_resets_on_open_at_the_same_number_is_no_board_that_went_on():
    joiner = CountJoiner(plain_profile(resets_on_open=True))
    saved = at_rest(0, CountJoiner(plain_profile())).snapshot()
    joiner.restore(saved)
    joiner.feed(line(0), 9999.0)
    assert isinstance(joiner.feed(line(0), 9999.1)[0], Broken)


def test_bounds_lie_on_the_right_side_while_turns_come_off():
    joiner = at_rest(100)
    joiner.turn_sense()
    (count,) = joiner.feed(line(102), 0.4)
    reach = LIMIT * (0.1 + LATENCY)
    assert count.turns == 98.0
    # the number went from 100 by no more than the spindle can do, and the coil the other way
    assert (count.low, count.high) == (pytest.approx(100 - reach), pytest.approx(100 + reach))
