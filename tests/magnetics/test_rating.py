"""The output equation: how it scales, and what it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.magnetics.rating import volt_amperes, window_ampere_turns


@given(st.floats(0.01, 0.1), st.floats(1.1, 2.0))
def test_power_goes_with_the_fourth_power_of_the_size(tongue: float, times: float) -> None:
    def rating(a: float) -> float:
        return volt_amperes(50.0, 1.2, 0.93 * a * a, window_ampere_turns(0.75 * a * a, 0.3, 3e6))

    assert rating(tongue * times) == pytest.approx(rating(tongue) * times**4)


@pytest.mark.parametrize("utilisation", [0.0, 1.1])
def test_a_window_holds_no_more_than_itself(utilisation: float) -> None:
    with pytest.raises(ValueError, match="up to 1"):
        window_ampere_turns(1e-3, utilisation, 3e6)


def test_nothing_carries_nothing() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        window_ampere_turns(0.0, 0.3, 3e6)
    with pytest.raises(ValueError, match="more than 0"):
        volt_amperes(50.0, 1.2, 1e-3, 0.0)
