"""What must hold of the exciting current whatever the steel: scaling, symmetry, shape."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.magnetics.excitation import (
    MagneticCore,
    exciting,
    exciting_at_terminals,
    exciting_log_spread,
    exciting_waveform,
    exciting_waveform_at_terminals,
    magnetising_drop,
    power_log_spread,
)
from bench.magnetics.steel import Steel

STEEL = Steel.from_table(load_table("steels", "m400-50a"))
CORE = MagneticCore(
    1.34e-3, 0.192, STEEL, joint=8e-6, building_factor=1.2, u_log_area=0.015, u_joint=5e-6, u_log_building=0.08
)


@given(st.floats(20.0, 280.0), st.integers(2, 5))
def test_ampere_turns_belong_to_the_core_not_to_the_winding(volts: float, times: int) -> None:
    one, many = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662 * times, volts * times, 50.0)
    assert many.current * times == pytest.approx(one.current, rel=1e-9)
    assert many.core_loss == pytest.approx(one.core_loss, rel=1e-9)


@given(st.floats(20.0, 280.0))
def test_sixty_hertz_needs_six_fifths_of_the_volts_for_the_same_flux(volts: float) -> None:
    slow, fast = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662, volts * 1.2, 60.0)
    assert fast.flux_density == pytest.approx(slow.flux_density, rel=1e-12)
    assert fast.core_loss > slow.core_loss


@given(st.floats(5.0, 290.0), st.floats(1.001, 1.3))
def test_more_volts_take_more_current_and_more_watts(volts: float, factor: float) -> None:
    less, more = exciting(CORE, 662, volts, 50.0), exciting(CORE, 662, volts * factor, 50.0)
    assert more.current > less.current
    assert more.core_loss > less.core_loss


def test_the_current_is_peaky_in_saturation_and_rms_mean_and_peak_differ_as_in_life() -> None:
    deep = exciting(CORE, 662, 320.0, 50.0)
    assert deep.peak / deep.current > 1.8
    assert deep.current / deep.mean > 1.2


def test_what_is_not_known_of_the_steel_is_the_largest_part_of_the_doubt() -> None:
    whole = exciting_log_spread(CORE, 662, 230.0, 50.0)
    certain = replace(CORE, steel=replace(STEEL, log_spread=STEEL.log_spread * 0.0))
    assert exciting_log_spread(certain, 662, 230.0, 50.0) < 0.6 * whole


def test_loss_is_known_better_than_current() -> None:
    assert power_log_spread(CORE, 662, 138.0, 50.0) < 0.5 * exciting_log_spread(CORE, 662, 138.0, 50.0)


@given(st.floats(1.0, 400.0))
def test_the_two_parts_make_the_whole(volts: float) -> None:
    wave = exciting_waveform(CORE, 662, volts, 50.0)
    assert wave.current.rms**2 == pytest.approx(wave.magnetising_current**2 + wave.working_current**2, rel=1e-9)
    assert wave.working_current == pytest.approx(exciting(CORE, 662, volts, 50.0).core_loss / volts, rel=1e-9)
    assert float(np.mean(wave.emf * wave.magnetising)) == pytest.approx(0.0, abs=1e-9 * volts * wave.current.rms)


def test_an_average_responding_meter_reads_a_saturated_core_low() -> None:
    assert exciting_waveform(CORE, 662, 60.0, 50.0).current.mean_responding_error == pytest.approx(0.0, abs=0.02)
    assert exciting_waveform(CORE, 662, 320.0, 50.0).current.mean_responding_error < -0.15


@pytest.mark.parametrize("samples", [28, 90, 361])
def test_samples_that_miss_a_peak_are_refused(samples: int) -> None:
    with pytest.raises(ValueError, match=f"{samples} samples"):
        exciting_waveform(CORE, 662, 230.0, 50.0, samples)
    with pytest.raises(ValueError, match=f"{samples} samples"):
        exciting_waveform_at_terminals(CORE, 662, 230.0, 50.0, 10.0, samples=samples)


def test_without_resistance_the_terminals_are_the_emf() -> None:
    plain, terminal = exciting(CORE, 662, 253.0, 50.0), exciting_at_terminals(CORE, 662, 253.0, 50.0, 0.0)
    assert terminal.emf == pytest.approx(253.0, rel=1e-12)
    assert terminal.current == pytest.approx(plain.current, rel=1e-3)
    assert terminal.power == pytest.approx(plain.core_loss, rel=1e-9)


@given(st.floats(1.0, 350.0), st.floats(2.0, 200.0), st.floats(0.0, 0.05), st.sampled_from([50.0, 60.0]))
def test_at_the_terminals_kirchhoff_and_the_energy_balance_hold(
    volts: float, resistance: float, inductance: float, frequency: float
) -> None:
    wave = exciting_waveform_at_terminals(CORE, 662, volts, frequency, resistance, inductance)
    current = wave.current.samples
    harmonics = np.fft.rfft(current) * 2j * math.pi * frequency * np.arange(len(current) // 2 + 1)
    drop = resistance * current + inductance * np.fft.irfft(harmonics, len(current))
    supply = math.sqrt(2.0) * volts * np.cos(wave.phase)
    assert np.allclose(drop + wave.emf, supply, atol=1e-6 * volts)
    taken = float(np.mean(supply * current))
    found = exciting_at_terminals(CORE, 662, volts, frequency, resistance, inductance)
    # The magnetising part takes no watts but for the harmonics that 192 samples don't tell apart.
    assert found.power == pytest.approx(taken, rel=2e-3)


@given(st.floats(20.0, 250.0))
def test_the_flux_at_the_terminals_is_that_of_the_emf_below_the_knee(volts: float) -> None:
    found = exciting_at_terminals(CORE, 662, volts, 50.0, 14.0)
    assert found.current == pytest.approx(exciting(CORE, 662, found.emf, 50.0).current, rel=2e-3)
    # The square of what stands across, over twice the EMF, is left out of the drop.
    across = (found.magnetising * 14.0) ** 2 / 2 / volts
    drop = magnetising_drop(found.working, found.magnetising, 14.0, 0.0)
    assert volts - found.emf == pytest.approx(drop + across, rel=0.02)


def test_leakage_reactance_takes_its_part_of_the_magnetising_current() -> None:
    inductance = 0.2
    found = exciting_at_terminals(CORE, 662, 230.0, 50.0, 14.0, inductance)
    drop = magnetising_drop(found.working, found.magnetising, 14.0, 2 * math.pi * 50.0 * inductance)
    assert drop > 2.0
    assert 230.0 - found.emf == pytest.approx(drop, rel=0.02)


def test_behind_much_copper_saturation_flattens_the_emf_and_takes_less_current() -> None:
    plain = exciting(CORE, 662, 400.0, 50.0)
    found = exciting_at_terminals(CORE, 662, 400.0, 50.0, 14.0)
    assert found.current < 0.4 * plain.current
    assert found.power > 20 * found.core_loss


def test_half_the_samples_tell_the_same() -> None:
    for volts in (230.0, 325.0, 500.0):
        coarse = exciting_waveform_at_terminals(CORE, 662, volts, 50.0, 14.0, 2e-3).current
        fine = exciting_waveform_at_terminals(CORE, 662, volts, 50.0, 14.0, 2e-3, samples=768).current
        assert coarse.rms == pytest.approx(fine.rms, rel=1e-3)
        assert coarse.peak == pytest.approx(fine.peak, rel=3e-3)
        assert coarse.mean == pytest.approx(fine.mean, rel=1e-3)


@pytest.mark.parametrize(("resistance", "inductance"), [(-1.0, 0.0), (1.0, -1e-3)])
def test_less_than_no_resistance_is_refused(resistance: float, inductance: float) -> None:
    with pytest.raises(ValueError, match="must not be negative"):
        exciting_at_terminals(CORE, 662, 230.0, 50.0, resistance, inductance)
    with pytest.raises(ValueError, match="must not be negative"):
        magnetising_drop(0.02, 0.04, resistance, inductance)


def test_a_frequency_that_the_loss_is_not_known_at_is_refused_at_the_terminals_too() -> None:
    with pytest.raises(ValueError, match="400 Hz"):
        exciting_at_terminals(CORE, 662, 230.0, 400.0, 14.0)


def test_no_volts_take_no_current() -> None:
    found = exciting_at_terminals(CORE, 662, 0.0, 50.0, 14.0)
    assert (found.current, found.power, found.emf) == (0.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="no factors"):
        _ = exciting_waveform(CORE, 662, 0.0, 50.0).current.crest_factor
