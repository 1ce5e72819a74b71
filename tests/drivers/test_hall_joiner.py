"""Framed lines joined by rule, one rule a test."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from drivers.counting import BadLine, Bounded, Bridged, Broken, Count
from drivers.countline import HallLine, Hello
from drivers.joiner import CountJoiner

from .joining import hall_profile

PER = 4


def line(number: int, edges: int, *, boot: int = 1, ms: int | None = None, per: int = PER) -> HallLine:
    return HallLine(boot, number, number * 100 if ms is None else ms, edges, per, f"{boot}/{number}/{edges}")


def two_sensors() -> CountJoiner:
    joiner = CountJoiner(hall_profile())
    joiner.feed(Hello("0.1", 2, 2, 1, ""), 0.0)
    return joiner


def running(joiner: CountJoiner) -> CountJoiner:
    """Five lines, 100 ms apart, 4 edges each: stands at 5 turns at t = 0.5 s."""
    for number in range(1, 6):
        joiner.feed(line(number, 4 * number), number / 10, number / 10)
    return joiner


def test_edges_become_turns_with_their_fraction():
    (count,) = two_sensors().feed(line(1, 7), 0.1)
    assert count == Count(1.75, 1.75, 1.75, 0.0, 0.1, "1/1/7")


def test_setting_the_count_moves_all_later_ones():
    joiner = running(two_sensors())
    corrected = joiner.set_count(100.0, "counted by hand", 0.55)
    assert (corrected.before.turns, corrected.turns, corrected.reason) == (5.0, 100.0, "counted by hand")
    assert joiner.count.turns == 100.0
    assert joiner.feed(line(6, 22), 0.6)[-1].turns == 100.5


def test_a_count_set_before_the_first_line_applies_to_it():
    joiner = two_sensors()
    assert joiner.set_count(12.0, "went on from yesterday", 0.0).before is None
    assert joiner.feed(line(1, 40), 0.1)[-1].turns == 12.0
    assert joiner.feed(line(2, 44), 0.2)[-1].turns == 13.0


@pytest.mark.parametrize("again", [line(5, 20), line(3, 12)])
def test_a_line_that_came_before_is_dropped(again):
    assert running(two_sensors()).feed(again, 0.6) == []


def test_missing_lines_are_bridged_by_the_absolute_count():
    events = running(two_sensors()).feed(line(9, 36), 0.9)
    assert [type(each) for each in events] == [Bridged, Count]
    assert events[0].lines == 3
    assert events[1].certain
    assert events[1].turns == 9.0


def test_a_jump_no_spindle_makes_waits_and_is_dropped_when_not_borne_out():
    joiner = running(two_sensors())
    assert joiner.feed(line(6, 4000), 0.6) == []
    bad, *_, count = joiner.feed(line(7, 28), 0.7)
    assert isinstance(bad, BadLine)
    assert (count.turns, count.certain) == (7.0, True)


def test_a_jump_that_the_next_line_bears_out_is_told_and_both_are_possible():
    joiner = running(two_sensors())
    joiner.feed(line(6, 4000), 0.6)
    bounded, *counts = joiner.feed(line(7, 4004), 0.7)
    assert isinstance(bounded, Bounded)
    assert "leapt by 995.0 turns" in bounded.why
    assert [each.turns for each in counts] == [1000.0, 1001.0]
    # 5 turns before, and 30 turns/s for 0.1 s and the slack of 0.05 s
    assert counts[0].low == pytest.approx(5.0 - 30.0 * 0.15)
    assert counts[0].high >= counts[0].turns


def test_what_the_board_cannot_vouch_for_widens_the_count():
    joiner = running(two_sensors())
    bounded, count = joiner.feed(line(6, 24)._replace(doubt=4), 0.6)
    assert "both switches changed at once" in bounded.why
    assert (count.low, count.turns, count.high) == (5.0, 6.0, 7.0)
    assert joiner.feed(line(7, 28)._replace(doubt=4), 0.7)[0].low == 6.0


def test_numbers_go_on_where_they_begin_anew():
    joiner = two_sensors()
    top, edge = 2**30 - 1, 2**29 - 1
    joiner.feed(HallLine(1, top, top, edge, PER, "a"), 0.1)
    joiner.set_count(500.0, "counted", 0.1)
    (count,) = joiner.feed(HallLine(1, 0, 99, -(2**29), PER, "b"), 0.2)
    assert (count.turns, count.certain) == (500.25, True)
    (count,) = joiner.feed(HallLine(1, 1, 199, -(2**29) + 3, PER, "c"), 0.3)
    assert (count.turns, count.certain) == (501.0, True)


def test_turning_back_over_the_end_of_the_numbers_counts_back():
    joiner = two_sensors()
    joiner.feed(HallLine(1, 1, 100, -(2**29), PER, "a"), 0.1)
    joiner.set_count(10.0, "counted", 0.1)
    assert joiner.feed(HallLine(1, 2, 200, 2**29 - 4, PER, "b"), 0.2)[-1].turns == 9.0


def test_a_board_of_another_number_is_not_taken_for_the_one_that_was_there():
    joiner = two_sensors()
    joiner.feed(Hello("0.1", 2, 2, 1, "", "E1"), 0.0)
    running(joiner)
    broken = joiner.feed(Hello("0.1", 2, 2, 1, "hall hello", "E2"), 0.6)[0]
    assert isinstance(broken, Broken)
    assert "another board answers, E2 and not E1" in broken.why
    assert not joiner.count.certain


def test_lines_that_the_way_held_back_are_no_new_start():
    joiner = running(two_sensors())
    # a serial server holds lines back for two seconds, and gives them all at once
    events = [event for n in range(6, 26) for event in joiner.feed(line(n, 4 * n), 2.5, 2.6)]
    assert [type(each) for each in events] == [Count] * 20
    assert (events[-1].turns, events[-1].certain) == (25.0, True)


def test_a_board_that_ran_before_the_line_went_away_is_another_one():
    joiner = running(two_sensors())
    joiner.feed(line(90_000, 40_000, boot=3, ms=3_600_000), 1.0)
    broken = joiner.feed(line(90_001, 40_000, boot=3, ms=3_600_100), 1.1)[0]
    assert isinstance(broken, Broken)
    assert "another board answers" in broken.why


def test_what_a_board_could_not_vouch_for_since_its_start_is_not_forgotten():
    joiner = running(two_sensors())
    joiner.feed(line(1, 0, boot=2)._replace(doubt=400), 1.0)
    count = joiner.feed(line(2, 4, boot=2)._replace(doubt=400), 1.1)[-1]
    assert count.high - count.low >= 200.0


def test_a_board_with_two_switches_does_not_vouch_for_the_one_before_it():
    joiner = CountJoiner(hall_profile())
    joiner.restore(running(CountJoiner(hall_profile())).snapshot())
    joiner.feed(line(6, 100), 9999.0)
    before = joiner.count
    joiner.feed(Hello("0.1", 2, 2, 8, ""), 9999.1)
    assert joiner.count.low <= before.low
    # but the same start of the same board does
    again = CountJoiner(hall_profile())
    again.restore(running(CountJoiner(hall_profile())).snapshot())
    again.feed(line(6, 100), 9999.0)
    again.feed(Hello("0.1", 2, 2, 1, ""), 9999.1)
    assert again.count.certain


def test_turns_of_the_spindle_that_are_none_of_the_coils_are_left_out():
    joiner = running(two_sensors())
    joiner.leave_out(2.0)
    assert joiner.count.turns == 3.0
    (count,) = joiner.feed(line(6, 24), 0.6)
    assert (count.turns, count.certain) == (4.0, True)


def test_a_counter_that_runs_backwards_is_turned_round():
    joiner = running(two_sensors())
    joiner.turn_sense()
    assert joiner.count.turns == 5.0
    assert joiner.feed(line(6, 16), 0.6)[-1].turns == 6.0
    again = two_sensors()
    again.restore(joiner.snapshot())
    assert again.feed(line(7, 12), 0.7)[-1].turns == 7.0


def test_one_sensor_counts_off_where_a_person_says_that_turns_come_off():
    joiner = running(CountJoiner(hall_profile()))
    joiner.turn_sense()
    assert joiner.feed(line(6, 24), 0.6)[-1].turns == 4.0


def test_a_person_says_how_many_of_the_doubtful_turns_went_back():
    joiner = CountJoiner(hall_profile())
    joiner.restore(running(CountJoiner(hall_profile())).snapshot())
    joiner.feed(line(6, 36), 9999.0)
    assert joiner.doubtful == 4.0
    joiner.wound_back(1.0)
    assert (joiner.count.low, joiner.count.turns, joiner.count.high) == (7.0, 7.0, 7.0)
    assert joiner.doubtful == 0.0


def test_while_turns_come_off_the_other_way_round():
    """One switch, doubtful since the restart: 6 turns counted as coming off, all of which did come off."""
    joiner = running(CountJoiner(hall_profile()))
    joiner.turn_sense()
    again = CountJoiner(hall_profile())
    again.restore(joiner.snapshot())
    again.feed(line(60, 44), 9999.0)
    assert (again.count.turns, again.doubtful) == (-1.0, 6.0)
    again.wound_back(6.0)
    assert (again.count.turns, again.count.certain) == (-1.0, True)


def test_a_counter_that_is_mounted_the_other_way_round_is_said_so_in_its_profile():
    joiner = CountJoiner(replace(hall_profile(), reverse=True))
    joiner.feed(Hello("0.1", 2, 2, 1, ""), 0.0)
    joiner.set_count(0.0, "new", 0.0)
    joiner.feed(line(1, -4), 0.1)
    joiner.set_count(0.0, "new", 0.0)
    assert joiner.feed(line(2, -12), 0.2)[-1].turns == 2.0


def test_the_boards_own_count_at_a_target():
    joiner = running(two_sensors())
    joiner.set_count(100.0, "counted", 0.5)
    assert joiner.edges_at(110.0) == 20 + 40
    joiner.turn_sense()
    assert joiner.edges_at(110.0) == 20 - 40


def test_the_board_clock_wraps():
    joiner = two_sensors()
    joiner.feed(line(1, 4, ms=2**30 - 50), 0.1)
    (count,) = joiner.feed(line(2, 8, ms=50), 0.2)
    assert count.turns == 2.0
    assert count.speed == pytest.approx(10.0)


def test_a_new_start_of_the_board_bounds_what_was_lost():
    joiner = running(two_sensors())
    assert joiner.feed(line(1, 0, boot=2), 1.0, 1.0) == []
    bounded, first, second = joiner.feed(line(2, 4, boot=2), 1.1, 1.0)
    # from the last good line at 0.5 s to the first of the new start at 1.0 s, and 0.1 s on the way: 0.6 s. It went
    # at 10 turns/s, give or take what 10 turns/s2 make of that in the 0.3 s over which speed is taken, and meanwhile.
    more = 10.0 * (0.3 * 0.6 + 0.6**2 / 2)
    assert isinstance(bounded, Bounded)
    assert (bounded.low, bounded.high) == (pytest.approx(5.0 - more), pytest.approx(5.0 + 10.0 * 0.6 + more))
    assert (first.turns, second.turns) == (5.0, 6.0)
    assert second.high - second.low == pytest.approx(6.0 + 2 * more)


def test_no_more_is_lost_than_the_spindle_can_turn_at_its_fastest():
    joiner = running(two_sensors())
    joiner.feed(line(1, 0, boot=2), 61.0, 1.0)
    bounded = joiner.feed(line(2, 4, boot=2), 61.1, 1.0)[0]
    assert (bounded.high - bounded.low) / 2 == pytest.approx(30.0 * 60.6)


def test_a_host_that_looked_away_counts_the_gap_from_when_it_last_looked():
    joiner = two_sensors()
    joiner.feed(line(1, 4), 5.0, 1.0)
    joiner.feed(line(1, 0, boot=2), 5.0, 1.0)
    bounded = joiner.feed(line(2, 0, boot=2), 5.0, 1.0)[0]
    assert (bounded.high - bounded.low) / 2 == pytest.approx(30.0 * 4.1)


def test_setting_the_count_after_a_new_start_makes_it_exact():
    joiner = running(two_sensors())
    joiner.feed(line(1, 0, boot=2), 1.0)
    joiner.feed(line(2, 4, boot=2), 1.1)
    joiner.set_count(11.0, "counted", 1.2)
    (count,) = joiner.feed(line(3, 8, boot=2), 1.2)
    assert (count.turns, count.certain) == (12.0, True)


def test_one_line_of_another_start_alone_is_not_believed():
    joiner = running(two_sensors())
    joiner.feed(line(1, 0, boot=9), 0.55)
    bad, count = joiner.feed(line(6, 24), 0.6)
    assert isinstance(bad, BadLine)
    assert (count.turns, count.certain) == (6.0, True)


def test_a_board_that_begins_anew_under_its_old_start_number_is_noticed():
    joiner = running(two_sensors())
    events = [event for n in (1, 2, 3) for event in joiner.feed(line(n, 0, ms=n * 100 + 7), 1.0 + n / 10)]
    assert isinstance(events[0], Bounded)
    assert [each.turns for each in events[1:]] == [5.0, 5.0, 5.0]


def test_another_number_of_edges_per_turn_asks_a_person():
    joiner = running(two_sensors())
    joiner.feed(line(6, 24, per=8), 0.6)
    broken, *counts = joiner.feed(line(7, 28, per=8), 0.7)
    assert isinstance(broken, Broken)
    assert "4 to 8" in broken.why
    assert not counts[-1].certain


def test_a_host_that_comes_back_goes_on_where_it_was():
    saved = json.loads(json.dumps(running(two_sensors()).snapshot()))
    joiner = two_sensors()
    joiner.restore(saved)
    events = joiner.feed(line(400, 1000), 9999.0)
    assert [type(each) for each in events] == [Bridged, Count]
    assert (events[-1].turns, events[-1].certain) == (250.0, True)


def test_a_host_that_comes_back_to_a_board_started_anew_asks_a_person():
    joiner = two_sensors()
    joiner.restore(running(two_sensors()).snapshot())
    joiner.feed(line(1, 0, boot=2), 9999.0)
    broken, count, _ = joiner.feed(line(2, 0, boot=2), 9999.1)
    assert isinstance(broken, Broken)
    assert (count.low, count.high) == (float("-inf"), float("inf"))


def test_one_sensor_edges_of_a_time_nobody_looked_may_be_either_way():
    saved = running(CountJoiner(hall_profile())).snapshot()
    joiner = CountJoiner(hall_profile())
    joiner.restore(saved)
    count = joiner.feed(line(6, 36), 9999.0)[-1]
    assert (count.low, count.turns, count.high) == (1.0, 9.0, 9.0)


def test_a_board_that_turns_out_to_have_one_sensor_is_not_trusted_further():
    joiner = running(two_sensors())
    joiner.feed(Hello("0.1", 1, 2, 1, ""), 0.5)
    assert joiner.feed(line(6, 24), 0.6)[-1].low == 4.0


@pytest.mark.parametrize(
    "saved",
    [
        {},
        {"schema": 2, "form": "hall"},
        {"schema": 1, "form": "plain"},
        {"schema": 1, "form": "hall", "last": [1, 2]},
        {"schema": 1, "form": "hall", "last": [1, 2, 3, 4, 5, "x"], "offset": "a"},
    ],
)
def test_a_snapshot_that_is_none_is_refused(saved):
    with pytest.raises(ValueError, match="expected"):
        two_sensors().restore(saved)
