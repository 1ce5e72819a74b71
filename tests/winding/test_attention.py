"""What a person is told at once, and told once."""

from __future__ import annotations

from bench.job.winding import Role, Tap, Winding
from bench.winding.attention import Attention, Urgency
from bench.winding.progress import Progress, progress_of
from drivers.counting import Bounded, Bridged, Broken, Count, LinkWentAway

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100, layers=(60, 40), taps=(Tap(name="centre", turn=50),))


def at(turns: float, *waiting: str, slack: float = 0.0, left_out: float | None = None) -> Progress:
    count = Count(turns, turns - slack, turns + slack, 1.0, 0.0)
    return progress_of(WINDING, 100, count, waiting=waiting, left_out=left_out)


def told(*progresses: Progress) -> list[tuple[Urgency, str]]:
    attention = Attention()
    return [(one.urgency, one.words) for progress in progresses for one in attention.after(progress)]


def test_each_mark_is_announced_once_before_and_once_at_it() -> None:
    heard = told(at(30), at(41), at(42), at(49), at(50, "tap centre"), at(51, "tap centre"))
    assert heard == [
        (Urgency.WARNING, "9 turns to tap centre"),
        (Urgency.REACHED, "tap centre: bring out the lead"),
        (Urgency.WARNING, "10 turns to end of layer 1"),
    ]


def test_to_and_fro_by_less_than_a_turn_says_nothing_twice() -> None:
    assert len(told(at(30), at(40.1), at(39.8), at(40.2), at(39.9), at(40.3))) == 1


def test_turns_taken_back_and_wound_again_are_announced_again() -> None:
    heard = told(at(30), at(45), at(20), at(45))
    assert [words for _, words in heard] == ["5 turns to tap centre"] * 2


def test_going_back_edge_by_edge_and_on_again_is_announced_again() -> None:
    there = [at(30), at(45)]
    back = [at(45 - step / 4) for step in range(1, 100)]
    again = [at(21 + step / 4) for step in range(1, 100)]
    assert [words for _, words in told(*there, *back, *again)] == ["5 turns to tap centre", "10 turns to tap centre"]


def test_target_and_past_it_sound_apart() -> None:
    heard = told(at(89), at(91), at(100), at(101))
    assert [urgency for urgency, _ in heard] == [Urgency.WARNING, Urgency.REACHED, Urgency.TROUBLE]
    assert heard[2][1] == "1.0 turns past the target"


def test_a_spindle_that_turns_on_hold_is_told() -> None:
    heard = told(at(30, left_out=0.0), at(30, left_out=0.5), at(30, left_out=1.5), at(30, left_out=3.0))
    assert heard == [(Urgency.TROUBLE, "on hold: what the spindle turns now is not counted (+1.5 turns)")]


def test_what_was_so_when_one_sat_down_is_no_news() -> None:
    assert told(at(55, "tap centre"), at(55, "tap centre")) == []


def test_a_count_that_may_have_reached_the_target_is_trouble() -> None:
    heard = told(at(30), at(96, slack=8))
    assert (Urgency.TROUBLE, "the count is between 88.0 and 104.0: the target may be reached") in heard


def test_of_events_only_those_that_ask_for_something_sound() -> None:
    attention = Attention()
    sounding = [Bounded(1.0, 2.0, "why", 0.0), Broken("why", 0.0), LinkWentAway("out", 0.0)]
    assert [len(attention.event(event)) for event in sounding] == [1, 1, 1]
    assert attention.event(Bridged(2, "lost", 0.0)) == ()
