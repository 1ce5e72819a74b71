"""True RMS behind what a mean-responding meter shows."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from drivers.accuracy import Accuracy
from drivers.hand import typed_overload, typed_reading
from drivers.mean_responding import (
    SINE_FORM_FACTOR,
    Harmonic,
    WaveFactors,
    crest_factor_allowed,
    factors_between,
    shown_over_true,
    true_rms,
    wave_factors,
)
from drivers.reading import Quantity, Reading, State

AT = datetime(2026, 1, 2, tzinfo=UTC)
PEAKY = WaveFactors(form=1.2885, crest=1.7609, u_form=0.02)
harmonics = st.lists(
    st.builds(Harmonic, st.integers(1, 9), st.floats(0.0, 1.0), st.floats(-math.pi, math.pi)), min_size=1, max_size=4
)


def amps(value: float, moment: float = 0.0) -> Reading:
    accuracy = Accuracy(percent_of_reading=2.0, counts=5.0)
    return typed_reading(value, 1e-4, Quantity.CURRENT_AC, accuracy, at=AT, monotonic=moment)


def test_a_peaky_current_is_larger_than_what_is_shown():
    found = true_rms(amps(0.1), PEAKY, "wave")
    assert found.value == pytest.approx(0.1 * 1.2885 / 1.1107, rel=1e-4)


def test_all_doubts_grow_with_the_value_and_the_form_factor_s_comes_on_top():
    shown = amps(0.1)
    outside = ufloat(0.1, shown.standard_uncertainty) * ufloat(1.2885, 0.02) / SINE_FORM_FACTOR
    assert true_rms(shown, PEAKY, "wave").standard_uncertainty == pytest.approx(outside.std_dev, rel=1e-9)


def test_readings_of_one_wave_share_the_doubt_of_its_form():
    first, second = (true_rms(amps(0.1, moment), PEAKY, "wave") for moment in (1.0, 2.0))
    shared = {one.source for one in first.components} & {one.source for one in second.components}
    assert "wave" in shared


def test_a_sine_is_left_as_it_is():
    found = true_rms(amps(0.1), WaveFactors(SINE_FORM_FACTOR, math.sqrt(2)), "wave")
    assert found.value == pytest.approx(0.1)
    assert found.standard_uncertainty == pytest.approx(amps(0.1).standard_uncertainty)


def test_an_overload_stays_one():
    shown = typed_overload(Quantity.CURRENT_AC, at=AT, monotonic=0.0)
    assert true_rms(shown, PEAKY, "wave").state is State.OVERLOAD


def test_bounds_of_the_form_factor_are_a_rectangular_doubt():
    found = factors_between(SINE_FORM_FACTOR, 1.3, crest=2.5)
    assert found.form == pytest.approx((SINE_FORM_FACTOR + 1.3) / 2)
    assert found.u_form == pytest.approx((1.3 - SINE_FORM_FACTOR) / math.sqrt(12))
    assert found.crest == 2.5
    with pytest.raises(ValueError, match="lower one first"):
        factors_between(1.3, 1.2, 2.0)


def test_a_lower_reading_leaves_more_room_for_peaks():
    assert crest_factor_allowed(1.0, 1.0, 3.0) == pytest.approx(3.0)
    assert crest_factor_allowed(0.5, 1.0, 3.0) == pytest.approx(6.0)


@settings(max_examples=30, deadline=None)
@given(harmonics)
def test_the_factors_are_those_of_the_wave_drawn_with_numpy(parts):
    angle = (np.arange(30_011) + 0.5) / 30_011 * 2 * np.pi
    wave = sum(one.amplitude * np.sin(one.order * angle + one.phase) for one in parts)
    rms = np.sqrt(np.mean(wave**2))
    assume(rms > 1e-3)
    found = wave_factors(parts)
    assert found.form == pytest.approx(rms / np.mean(np.abs(wave)), rel=1e-4)
    assert found.crest == pytest.approx(np.max(np.abs(wave)) / rms, rel=1e-4)


@settings(max_examples=30, deadline=None)
@given(harmonics, st.floats(0.1, 100.0))
def test_the_factors_of_a_wave_don_t_depend_on_its_size(parts, size):
    assume(max(one.amplitude for one in parts) > 1e-2)
    assume(len({one.order for one in parts}) == len(parts))
    larger = [Harmonic(one.order, one.amplitude * size, one.phase) for one in parts]
    assert wave_factors(larger).form == pytest.approx(wave_factors(parts).form)
    assert wave_factors(larger).crest == pytest.approx(wave_factors(parts).crest)


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: wave_factors([]),
        lambda: wave_factors([Harmonic(1, 0.0)]),
        lambda: wave_factors([Harmonic(0, 1.0)]),
        lambda: wave_factors([Harmonic(1, math.nan)]),
        lambda: shown_over_true(0.99),
        lambda: shown_over_true(math.nan),
        lambda: WaveFactors(form=0.9, crest=1.4),
        lambda: WaveFactors(form=1.1, crest=0.9),
        lambda: WaveFactors(form=1.1, crest=1.4, u_form=-0.1),
        lambda: crest_factor_allowed(0.0, 1.0, 3.0),
        lambda: crest_factor_allowed(1.0, 1.0, 0.5),
    ],
)
def test_nonsense_is_refused(nonsense):
    with pytest.raises(ValueError, match=r"expected|nothing"):
        nonsense()
