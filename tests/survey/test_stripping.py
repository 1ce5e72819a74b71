"""A winding that comes off in goes: what is off, and within what, whichever way the spindle turns."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.survey.stripping import EDGE_WITHIN, Stripping

RULES = load_table("limits", "survey")["count"]
TURNS = st.floats(-3000, 3000, allow_nan=False)
HALF_TURNS = st.integers(-100, 3000).map(lambda halves: halves / 2)
POSITIONS = st.lists(st.tuples(TURNS, st.floats(0, 5), st.floats(0, 5)), max_size=12)


def _moved(state: Stripping, positions: list[tuple[float, float, float]]) -> Stripping:
    for turns, below, above in positions:
        state = state.moved(turns, turns - below, turns + above)
    return state


def _at(state: Stripping, *positions: float) -> Stripping:
    """After a counter without doubt stood at each of them."""
    return _moved(state, [(one, 0.0, 0.0) for one in positions])


@given(POSITIONS, st.floats(0, 2000), POSITIONS)
def test_what_is_off_lies_within_its_bounds_and_is_never_negative(
    first: list[tuple[float, float, float]], typed: float, second: list[tuple[float, float, float]]
) -> None:
    state = _moved(Stripping("ht").begun(0.125), first)
    if typed:
        state = state.with_typed(typed)
    for one in (state, _moved(state.ended().begun(0.125), second)):
        assert 0 <= one.low <= one.off <= one.high


@given(POSITIONS, st.integers(0, 1000), POSITIONS)
def test_it_is_all_the_same_which_way_the_spindle_turns(
    first: list[tuple[float, float, float]], typed: int, second: list[tuple[float, float, float]]
) -> None:
    def through(sign: int) -> Stripping:
        state = Stripping("ht").begun(0.125)
        for part in (first, second):
            for turns, below, above in part:
                ends = sorted((sign * (turns - below), sign * (turns + above)))
                state = state.moved(sign * turns, *ends)
            if typed:
                state = state.with_typed(typed)
            state = state.ended().begun(0.125)
        return state

    one, other = through(1), through(-1)
    assert (one.off, one.low, one.high, one.goes) == (other.off, other.low, other.high, other.goes)


@given(st.lists(HALF_TURNS.filter(bool), max_size=20))
def test_typed_goes_add_up_and_never_below_none(turns: list[float]) -> None:
    state = Stripping("ht")
    total = 0.0
    for one in turns:
        if total + one < 0:
            with pytest.raises(ValueError, match="can't be taken back, expected at most the"):
                state.with_typed(one)
            continue
        state, total = state.with_typed(one), total + one
    assert state.off == state.low == state.high == total


@given(st.floats(1.0, 3000), st.floats(0, 1000), st.floats(1.0, 3000), st.sampled_from((1, -1)))
def test_goes_of_a_counter_add_up_in_either_sense(first: float, typed: float, second: float, sense: int) -> None:
    state = _at(Stripping("ht").begun(0.125), sense * first).ended()
    if typed:
        state = state.with_typed(typed)
    state = _at(state.begun(0.125), sense * second)
    assert state.off == pytest.approx(first + typed + second)
    assert state.certain
    assert state.goes == (3 if typed else 2)


COURSES = st.lists(
    st.tuples(
        st.sampled_from(("typed", "hall", "wheel")),
        st.lists(st.tuples(st.floats(-400, 400), st.floats(0, 3), st.floats(0, 3)), min_size=1, max_size=5),
    ),
    max_size=6,
)


@given(COURSES, st.sampled_from((1, -1)), st.sampled_from((1, -1)))
def test_the_truth_lies_within_whatever_way_the_hand_went(
    goes: list[tuple[str, list[tuple[float, float, float]]]], hall: int, wheel: int
) -> None:
    state, truth = Stripping("ht"), 0.0
    for by, moves in goes:
        position = 0.0
        if by != "typed":
            state = state.begun(0.125, by)
        for turns, below, above in moves:
            # Nobody winds on more than there was.
            moved = max(turns, -truth)
            if by == "typed":
                # A slip that would leave less than none is refused: it is not typed then.
                if moved == 0 or state.off + moved < 0:
                    continue
                state = state.with_typed(moved)
            else:
                position += (hall if by == "hall" else wheel) * moved
                state = state.moved(position, position - below, position + above)
            truth += moved
            assert state.low - 1e-6 <= truth <= state.high + 1e-6
        state = state.ended()
        assert state.low - 1e-6 <= truth <= state.high + 1e-6


def test_what_is_wound_on_at_the_start_of_a_later_go_does_not_turn_the_sense_over() -> None:
    state = _at(_at(Stripping("ht").begun(0.125), 150).ended().begun(0.125), -1.2, 98.8)
    assert (state.low, state.off, state.high) == (248.8, 248.8, 248.8)


def test_before_the_sense_is_told_the_count_holds_both() -> None:
    # 100 were typed off: of 40 by the counter nobody knows whether they came off or went on.
    state = _at(Stripping("ht").with_typed(100).begun(0.125, "hall"), 40)
    assert (state.low, state.off, state.high) == (60, 140, 140)
    # Over several goes too; and once more went one way than there was to wind on, all of them are told.
    state = _at(state.ended().begun(0.125, "hall"), 50)
    assert (state.low, state.off, state.high) == (10, 190, 190)
    state = _at(state, 61)
    assert (state.low, state.off, state.high) == (201, 201, 201)
    assert _at(state.ended().begun(0.125, "hall"), -5).off == 196


def test_another_counter_may_sit_the_other_way_on_its_spindle() -> None:
    state = _at(Stripping("ht").begun(0.125, "hall"), 150).ended().begun(0.125, "wheel")
    assert _at(state, -30).off == 180
    assert _at(state, -30).low == 120


def test_a_person_s_word_tells_the_sense_where_only_one_agrees() -> None:
    state = _at(Stripping("ht").with_typed(100).begun(0.125), 40).set_to(140)
    assert _at(state.begun(0.125), -2, 30).certain
    assert not _at(Stripping("ht").with_typed(100).begun(0.125), 40).set_to(100).told


def test_a_little_less_than_none_is_none() -> None:
    state = _at(_at(Stripping("ht").begun(0.125), 150).ended().begun(0.125), -150.3)
    assert (state.off, state.high) == (0, 0)


def test_what_was_kept_without_travel_is_read() -> None:
    kept = Stripping("ht").with_typed(20).as_saved()
    old = {key: kept[key] for key in ("off", "low", "high", "goes", "typed", "base", "sense", "counting", "blur")}
    assert Stripping.from_saved("ht", old) == Stripping("ht").with_typed(20)


def test_what_is_wound_on_again_is_taken_off_the_count() -> None:
    state = Stripping("ht").with_typed(100).begun(0.125).moved(-40, -40, -40)
    assert state.off == 140
    assert state.moved(-25, -25, -25).off == 125


def test_a_first_turn_the_wrong_way_is_mended_where_it_can_t_have_been() -> None:
    # The wire was tightened by two turns; then all of 30 came off the other way, more than were off before.
    state = Stripping("ht").with_typed(20).begun(0.125).moved(2, 2, 2).moved(-30, -30, -30)
    assert state.off == 50
    assert state.moved(-31, -31, -31).off == 51


def test_less_than_a_turn_tells_no_sense() -> None:
    state = Stripping("ht").with_typed(20).begun(0.125).moved(0.5, 0.5, 0.5).moved(-30, -30, -30)
    assert state.off == 50


def test_before_it_is_told_it_may_have_been_either_way() -> None:
    state = Stripping("ht").with_typed(20).begun(0.125).moved(0.5, 0.5, 0.5)
    assert (state.low, state.off, state.high) == (19.5, 20.5, 20.5)
    assert not state.moved(20, 20, 20).certain
    assert state.moved(21, 21, 21).certain


def test_turns_between_two_goes_are_none_of_the_winding_s() -> None:
    state = Stripping("ht").begun(0.125).moved(50, 50, 50).ended()
    with pytest.raises(ValueError, match="no go of it has begun"):
        state.moved(60, 60, 60)
    assert state.begun(0.125).moved(0, 0, 0).off == 50


def test_a_counter_s_interval_stays_and_grows_into_the_half_width() -> None:
    state = Stripping("ht").begun(0.125).moved(50, 48, 51)
    assert (state.low, state.high) == (48, 51)
    assert state.within(RULES) == pytest.approx(2 + 0.125)
    assert state.begun(0.01).moved(10, 9, 10).within(RULES) == pytest.approx(3 + 0.125 + EDGE_WITHIN)


def test_a_typed_count_is_as_good_as_any_by_hand() -> None:
    assert Stripping("heater").with_typed(16).within(RULES) == RULES["exact_within"]
    assert Stripping("ht").with_typed(1292).within(RULES) == RULES["within"]
    assert Stripping("ht").begun(0.125).moved(9, 9, 9).with_typed(300).within(RULES) == 0.125 + RULES["within"]


def test_a_lost_count_has_no_bounds_until_a_person_says_where_it_stands() -> None:
    lost = Stripping("ht").begun(0.125).moved(50, -math.inf, math.inf)
    assert not lost.bounded
    assert lost.within(RULES) == math.inf
    again = lost.with_typed(5)
    assert not again.bounded
    assert again.set_to(61).within(RULES) == RULES["within"]
    assert again.set_to(61).bounded


@given(POSITIONS, st.booleans())
def test_it_goes_on_from_what_was_kept(positions: list[tuple[float, float, float]], lost: bool) -> None:
    state = _moved(Stripping("ht").with_typed(18.5).begun(0.125), positions)
    if lost:
        state = state.moved(50, -math.inf, math.inf)
    assert Stripping.from_saved("ht", state.as_saved()) == state


@pytest.mark.parametrize("kept", [{}, {"off": "many"}, {**Stripping("ht").as_saved(), "base": [1]}])
def test_what_was_never_kept_is_refused(kept: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="can't be read"):
        Stripping.from_saved("ht", kept)


@pytest.mark.parametrize("turns", [0.0, math.nan, math.inf, 100_001.0])
def test_a_go_of_no_turns_or_of_too_many_is_refused(turns: float) -> None:
    with pytest.raises(ValueError, match="expected"):
        Stripping("ht").with_typed(turns)


@pytest.mark.parametrize("turns", [-1.0, math.nan, 100_001.0])
def test_a_place_that_no_winding_has_is_refused(turns: float) -> None:
    with pytest.raises(ValueError, match="expected from 0 to 1"):
        Stripping("ht").set_to(turns)


@pytest.mark.parametrize(
    ("state", "how"),
    [
        (Stripping("ht").with_typed(3), "typed"),
        (Stripping("ht").begun(0.1).moved(3, 3, 3), "counter"),
        (Stripping("ht").begun(0.1).moved(3, 3, 3).with_typed(1), "counter and typed"),
    ],
)
def test_how_it_was_counted_is_told(state: Stripping, how: str) -> None:
    assert state.how == how
