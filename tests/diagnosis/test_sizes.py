"""Shares of a prior over sizes that stand for all between them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.diagnosis.sizes import even_shares, shares_by

SIZES = st.lists(st.floats(0.0, 0.29), min_size=1, max_size=12, unique=True).map(sorted)


@given(SIZES)
def test_sizes_share_the_whole_prior(sizes: list[float]) -> None:
    for shares in (even_shares(sizes, 0.0, 0.3), shares_by(sizes, ((0.02, 0.6), (0.1, 0.25), (0.3, 0.15)))):
        assert sum(shares) == pytest.approx(1.0)
        assert min(shares) >= 0


@given(SIZES)
def test_one_part_is_all_sizes_alike(sizes: list[float]) -> None:
    assert shares_by(sizes, ((0.3, 1.0),)) == pytest.approx(even_shares(sizes, 0.0, 0.3))


def test_a_close_grid_does_not_count_more_than_a_wide_one() -> None:
    assert even_shares([0.01, 0.02, 0.03, 0.3], 0.0, 0.33)[-1] == pytest.approx(0.5)
    assert shares_by([0.0, 0.02, 0.3], ((0.02, 0.8), (0.3, 0.2)))[0] == pytest.approx(0.4)
