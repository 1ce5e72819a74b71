"""Telling hysteresis from eddy currents: what must come back, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.magnetics.core_loss import separate_losses


@given(st.floats(0.01, 5.0), st.floats(1e-5, 0.1), st.floats(30.0, 70.0), st.floats(1.05, 2.0))
def test_two_parts_put_together_are_told_apart_again(
    hysteresis: float, eddy: float, frequency: float, times: float
) -> None:
    first, second = (hysteresis * f + eddy * f**2 for f in (frequency, frequency * times))
    found = separate_losses(first, frequency, second, frequency * times)
    assert found.hysteresis == pytest.approx(hysteresis, rel=1e-6)
    assert found.eddy == pytest.approx(eddy, rel=1e-5)
    assert sum(found.at(frequency)) == pytest.approx(first)


def test_a_published_sheet_at_two_frequencies_is_mostly_hysteresis() -> None:
    # pyleecan 1.4.2, Material/M19_29Ga.json, 1.0 T at 50 and 60 Hz. At 50 Hz, thin sheet with much silicon loses more
    # by hysteresis than by eddy currents (any textbook).
    loss = load_table("steels", "m19-29ga")["loss"]
    at = loss["flux_density_T"].index(1.0)
    found = separate_losses(loss["loss_W_kg"][at], 50.0, loss["further"][0]["loss_W_kg"][at], 60.0)
    hysteresis, eddy = found.at(50.0)
    assert hysteresis > 2 * eddy > 0


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((60.0, 40.0, 100.0, 40.0), "two different frequencies"),
        ((60.0, 0.0, 100.0, 60.0), "two different frequencies"),
        ((0.0, 40.0, 100.0, 60.0), "more than 0"),
        ((60.0, 40.0, 80.0, 60.0), "not of one flux density"),
        ((60.0, 40.0, 140.0, 60.0), "not of one flux density"),
    ],
)
def test_losses_that_cannot_be_of_one_flux_density_are_refused(
    values: tuple[float, float, float, float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        separate_losses(*values)


def test_no_frequency_has_no_loss_to_give() -> None:
    with pytest.raises(ValueError, match="expected more than 0"):
        separate_losses(60.0, 40.0, 100.0, 60.0).at(0.0)
