"""The count is never silently wrong, whatever the cable, the board and the spindle do."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drivers.counting import BadLine, Bounded, Bridged, Broken
from drivers.countline import decoder_for
from drivers.joiner import CountJoiner

from .framing import hall, hello
from .joining import hall_profile, join, plain_profile
from .spindle import Fate, Move, PlainBoard, Trouble, simulate

ACCELERATION = 10.0
START = [Move(6.0, 2.5)]
MOVES = st.lists(st.builds(Move, st.floats(-12.0, 12.0), st.floats(0.1, 1.5)), min_size=1, max_size=6).map(
    lambda later: START + later
)
FATES = st.lists(st.sampled_from([*[Fate.WELL] * 6, Fate.LOST, Fate.DOUBLED, Fate.DAMAGED]), max_size=600)
BAD_FATES = st.lists(st.sampled_from(list(Fate)), max_size=600)
SPANS = st.lists(st.tuples(st.floats(2.5, 8.0), st.floats(0.05, 1.5)), max_size=2)
SEEDS = st.integers(0, 2**32)
SEPARATE_DAMAGE = st.lists(
    st.sampled_from([[Fate.WELL], [Fate.WELL], [Fate.LOST], [Fate.DAMAGED, Fate.WELL, Fate.WELL]]), max_size=300
).map(lambda groups: [Fate.WELL] * 4 + [fate for group in groups for fate in group])
LONG_SPANS = st.lists(st.tuples(st.floats(2.5, 8.0), st.floats(0.3, 1.5)), max_size=2)
QUICK = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))


@QUICK
@given(MOVES, BAD_FATES, SPANS, SPANS, SEEDS)
def test_two_sensors_and_no_reset_lose_no_turn_whatever_the_cable_does(moves, fates, lost, stalls, seed):
    trouble = Trouble(port_lost=lost, host_stalls=stalls, fates=fates)
    run = simulate(moves, trouble, per=4, sensors=2, acceleration=ACCELERATION, seed=seed)
    joined = join(run, per=4, sensors=2)
    assert joined.wrong == []
    assert joined.uncertain == []
    assert joined.of(Bounded) == joined.of(Broken) == []


@QUICK
@given(MOVES, FATES, SPANS, SPANS, SPANS, SEEDS)
def test_two_sensors_with_resets_keep_the_truth_inside(moves, fates, resets, lost, stalls, seed):
    trouble = Trouble(resets=resets, port_lost=lost, host_stalls=stalls, fates=fates)
    run = simulate(moves, trouble, per=4, sensors=2, acceleration=ACCELERATION, seed=seed)
    assert join(run, per=4, sensors=2).wrong == []


@QUICK
@given(MOVES, FATES, SPANS, SPANS, SPANS, SEEDS, st.sampled_from([2, 4, 8]))
def test_one_sensor_keeps_the_truth_inside(moves, fates, resets, lost, stalls, seed, per):
    trouble = Trouble(resets=resets, port_lost=lost, host_stalls=stalls, fates=fates)
    run = simulate(moves, trouble, per=per, sensors=1, acceleration=ACCELERATION, seed=seed)
    assert join(run, per=per, sensors=1).wrong == []


@QUICK
@given(MOVES, SEPARATE_DAMAGE, SPANS, SEEDS)
def test_plain_lines_with_digits_damaged_one_at_a_time_keep_the_truth_inside(moves, fates, lost, seed):
    trouble = Trouble(port_lost=lost, fates=fates)
    run = simulate(moves, trouble, per=1, sensors=2, acceleration=ACCELERATION, seed=seed, board=PlainBoard())
    assert join(run, per=1, profile=plain_profile()).wrong == []


@QUICK
@given(MOVES, LONG_SPANS, LONG_SPANS, SEEDS)
def test_plain_lines_of_a_board_with_a_period_keep_the_truth_inside_over_resets(moves, resets, lost, seed):
    trouble = Trouble(resets=resets, port_lost=lost)
    run = simulate(moves, trouble, per=1, sensors=2, acceleration=ACCELERATION, seed=seed, board=PlainBoard())
    assert join(run, per=1, profile=plain_profile(period_s=0.02)).wrong == []


def test_lost_lines_are_told_and_bridged():
    fates = [Fate.WELL] * 30 + [Fate.LOST] * 5
    run = simulate(START, Trouble(fates=fates), per=4, sensors=2, acceleration=ACCELERATION, seed=1)
    joined = join(run, per=4, sensors=2)
    assert [each.lines for each in joined.of(Bridged)] == [5]
    assert joined.last.certain
    assert joined.wrong == []


def test_damaged_lines_are_told_with_their_bytes():
    fates = [Fate.WELL] * 30 + [Fate.DAMAGED]
    run = simulate(START, Trouble(fates=fates), per=4, sensors=2, acceleration=ACCELERATION, seed=1)
    (bad,) = join(run, per=4, sensors=2).of(BadLine)
    assert bad.raw.startswith("ha")
    assert bad.reason


def test_a_reset_widens_the_count_by_what_the_spindle_can_do_meanwhile():
    moves = [Move(6.0, 4.0)]
    run = simulate(moves, Trouble(resets=[(3.0, 0.5)]), per=4, sensors=2, acceleration=ACCELERATION, seed=1)
    joined = join(run, per=4, sensors=2)
    (bounded,) = joined.of(Bounded)
    gap = 0.5 + 2 * 0.02 + 0.1
    assert (bounded.high - bounded.low) / 2 <= 30.0 * (gap + 0.01)
    # it went at 6 turns/s and may have gone on so, or have stopped at once
    assert bounded.high >= 18.0 + 6.0 * 0.5
    assert joined.wrong == []


def test_one_sensor_going_steadily_forward_stays_certain():
    run = simulate([Move(8.0, 6.0)], Trouble(), per=4, sensors=1, acceleration=ACCELERATION, seed=1)
    joined = join(run, per=4, sensors=1)
    assert joined.uncertain == []
    assert joined.wrong == []


def test_one_sensor_that_slows_down_but_not_to_a_standstill_stays_certain():
    moves = [Move(12.0, 3.0), Move(6.0, 2.0), Move(12.0, 2.0)]
    run = simulate(moves, Trouble(), per=8, sensors=1, acceleration=ACCELERATION, seed=1)
    joined = join(run, per=8, sensors=1)
    assert joined.last.certain
    assert joined.of(Bounded) == []


def test_one_sensor_after_a_standstill_says_once_that_it_does_not_know():
    moves = [Move(8.0, 3.0), Move(0.0, 2.0), Move(-8.0, 8.0)]
    run = simulate(moves, Trouble(), per=4, sensors=1, acceleration=ACCELERATION, seed=1)
    joined = join(run, per=4, sensors=1)
    (bounded,) = joined.of(Bounded)
    assert "one sensor" in bounded.why
    # 8 turns/s for 8 s less half the 0.8 s of starting, and less the turns of the slowing down
    assert joined.last.turns - joined.last.low > 2 * 55
    assert joined.wrong == []


def test_the_profiles_acceleration_is_what_the_certainty_hangs_on():
    moves = [Move(8.0, 3.0), Move(-8.0, 2.0)]
    run = simulate(moves, Trouble(), per=4, sensors=1, acceleration=400.0, seed=1)
    careless = join(run, per=4, sensors=1, profile=hall_profile(max_acceleration=0.1))
    careful = join(run, per=4, sensors=1, profile=hall_profile(max_acceleration=400.0))
    assert careless.wrong != []
    assert careful.wrong == []


PIECES = st.one_of(
    st.binary(max_size=50),
    st.builds(
        hall, st.integers(1, 3), st.integers(0, 40), st.integers(0, 4000), st.integers(-40, 40), st.sampled_from([4, 8])
    ),
    st.builds(hello, st.integers(1, 3), st.sampled_from([1, 2])),
    st.builds(lambda number: b"%d\n" % number, st.integers(-50, 50)),
)


@QUICK
@given(st.lists(st.tuples(PIECES, st.floats(0.0, 2.0)), max_size=40), st.booleans())
def test_whatever_bytes_come_a_count_is_finite_or_says_that_it_is_not(pieces, framed_lines):
    profile = hall_profile() if framed_lines else plain_profile(wraps_at=65536)
    joiner, decoder, at = CountJoiner(profile), decoder_for(profile), 0.0
    joiner.set_count(0.0, "start", at)
    for data, pause in pieces:
        looked, at = at, at + pause
        for decoded in decoder.feed(data):
            joiner.feed(decoded, at, looked)
        count, saved = joiner.count, joiner.snapshot()
        assert (count is None) == (saved is None)
        if count is not None and saved is not None:
            assert count.low <= count.turns <= count.high
            again = CountJoiner(profile)
            again.restore(saved)
            assert again.count.turns == count.turns
