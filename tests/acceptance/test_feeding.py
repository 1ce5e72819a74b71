"""The volts of a low-voltage step."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from bench.acceptance.feeding import best_feed_volts, settable

_RANGES = (0.1, 1.0, 10.0, 100.0, 750.0)


def _nothing(volts: float) -> float:
    return 0.0


def test_primary_and_high_winding_share_a_range() -> None:
    volts = best_feed_volts(10.3, [(2.347, 0.005)], _RANGES, 4e-4, _nothing)
    assert volts <= 10.0 / 2.347
    assert volts * 2.347 > 8.0


def test_a_core_that_reads_badly_at_low_flux_gets_all_the_volts_there_are() -> None:
    assert best_feed_volts(10.3, [(2.347, 0.005)], _RANGES, 4e-4, lambda volts: 0.2 / volts) == 10.0


@given(st.floats(1e-3, 1e4))
@example(7.6)
@example(9999.999999999998)
@example(math.nextafter(7.6, 0.0))
def test_a_source_is_set_by_two_digits_and_never_higher(volts: float) -> None:
    shown = settable(volts)
    assert float(f"{shown:.1e}") == shown
    assert volts / 1.11 < shown <= volts


def test_never_above_the_cap() -> None:
    assert best_feed_volts(3.0, [(2.347, 0.005), (0.03, 0.05)], _RANGES, 4e-4, _nothing) <= 3.0


@given(
    st.floats(1.5, 200.0),
    st.lists(st.tuples(st.floats(1e-3, 20.0), st.floats(1e-3, 0.2)), max_size=6),
    st.lists(st.floats(0.05, 1000.0), max_size=6).map(sorted),
)
def test_any_bench_gets_volts_within_the_cap(
    cap: float, ratios: list[tuple[float, float]], ranges: list[float]
) -> None:
    assert 0 < best_feed_volts(cap, ratios, ranges, 4e-4, lambda volts: 0.01 / volts) <= cap


def test_nothing_to_feed_is_refused() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        best_feed_volts(0.0, [], _RANGES, 4e-4, _nothing)
