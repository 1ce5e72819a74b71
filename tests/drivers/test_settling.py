"""A reading settles when only noise moves it, and never when it drifts, hunts, or its contact comes and goes."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.reading import State
from drivers.settling import NeverSettles, NotYet, Outcome, Settled, Settling, Still, Unrest

METER = Still(noise=1e-3, resolution=1e-4, patience_s=10.0)
STEP = 0.3  # s between readings


def fed(still: Still, values: Iterable[float], step: float = STEP) -> Outcome:
    machine = Settling(still)
    outcome: Outcome = NotYet()
    for number, value in enumerate(values):
        outcome = machine.feed(value, number * step)
        if not isinstance(outcome, NotYet):
            break
    return outcome


@given(st.floats(-1e3, 1e3), st.integers(0, 10_000))
def test_noise_alone_settles_at_its_mean(level: float, seed: int) -> None:
    rng = random.Random(seed)
    outcome = fed(METER, (level + rng.gauss(0.0, METER.noise) for _ in itertools.count()))
    assert isinstance(outcome, Settled)
    assert outcome.value == pytest.approx(level, abs=4 * METER.noise)
    assert outcome.scatter >= METER.noise / 3**0.5


@given(st.floats(2.5, 1e6), st.sampled_from([-1.0, 1.0]), st.integers(0, 1000), st.sampled_from([0.0, 5e-3, 1e3]))
def test_a_ramp_never_settles_whatever_wobble_is_let_pass(steep: float, sign: float, seed: int, wobble: float) -> None:
    rng = random.Random(seed)
    still = Still(noise=1e-3, resolution=1e-4, wobble=wobble, patience_s=10.0)
    rise = sign * steep * (4.3 * still.noise + 2 * still.resolution) / 2  # per reading
    outcome = fed(still, (6.0 + n * rise + rng.uniform(-1, 1) * still.noise for n in itertools.count()))
    assert isinstance(outcome, NeverSettles)
    assert outcome.why is Unrest.DRIFTING
    assert outcome.per_second == pytest.approx(rise / STEP, rel=0.2)


def test_a_drift_that_is_let_pass_is_no_trouble() -> None:
    still = Still(noise=1e-3, resolution=1e-4, drift=0.05)
    assert isinstance(fed(still, (6.0 + 0.04 * n * STEP for n in itertools.count())), Settled)


def test_a_slow_filter_is_waited_for() -> None:
    outcome = fed(METER, (230.0 * (1 - 0.4**n) for n in itertools.count()))
    assert isinstance(outcome, Settled)
    assert outcome.value == pytest.approx(230.0, abs=5e-3)


def test_a_restless_supply_settles_with_its_whole_scatter() -> None:
    rng = random.Random(3)
    still = Still(noise=1e-3, resolution=1e-4, wobble=0.5)
    outcome = fed(still, (230.0 + rng.gauss(0.0, 0.2) for _ in itertools.count()))
    assert isinstance(outcome, Settled)
    assert outcome.readings == 8
    assert 0.08 < outcome.scatter < 0.5


def test_hunting_is_told_with_its_size() -> None:
    outcome = fed(METER, itertools.cycle([6.0, 6.1, 6.05, 5.95]))
    assert isinstance(outcome, NeverSettles)
    assert outcome.why is Unrest.HUNTING
    assert outcome.in_words("V").startswith("hunting by ±0.1")


def test_a_contact_that_comes_and_goes_is_told_although_some_readings_agree() -> None:
    machine, outcome = Settling(METER), None
    pattern = itertools.cycle([16.3, 16.3, None, None])
    for number, value in enumerate(pattern):
        state = State.OVERLOAD if value is None else State.GOOD
        outcome = machine.feed(value, number * STEP, state)
        if not isinstance(outcome, NotYet):
            break
    assert isinstance(outcome, NeverSettles)
    assert outcome.in_words("ohm") == "a contact that comes and goes"


def test_over_range_that_stays_is_settled_as_a_state() -> None:
    machine = Settling(METER)
    for number in range(3):
        outcome = machine.feed(None, number * STEP, State.OVERLOAD)
    assert outcome == Settled(State.OVERLOAD, None, 0.0, 3)


_ANYTHING = st.tuples(
    st.one_of(st.none(), st.floats(), st.integers(-5, 5).map(float)), st.floats(), st.sampled_from(State)
)


@given(
    st.lists(_ANYTHING, min_size=1, max_size=60),
    st.tuples(*[st.floats(0.0, 1e20)] * 4),
    st.integers(8, 40),
)
def test_anything_may_come_and_it_ends(
    given_: list[tuple[float | None, float, State]], still: tuple[float, float, float, float], most: int
) -> None:
    machine = Settling(Still(*still, patience_s=1e9, most=most))
    for value, at, state in itertools.islice(itertools.cycle(given_), most):
        outcome = machine.feed(value, at, state)
    assert not isinstance(outcome, NotYet)
    machine.again()
    assert machine.outcome == NotYet()
