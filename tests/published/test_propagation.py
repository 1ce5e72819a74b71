"""How doubt is carried along, against JCGM 100, a guide of chemists, a textbook and a reference library.

Published checks, numbered by us, the source beside each.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties
from numpy.typing import NDArray

from bench.estimate import Estimate
from drivers.accuracy import Accuracy

# 8.8: JCGM 100:2008 H.2: volts, amps and phase of one component, read five times together: resistance, reactance and
# impedance. As worked in the open library GTC of a national laboratory (docs/API/GUM_H2.rst; the five readings beside
# multi_estimate_real). That page writes R = V I cos(phi) for what is V cos(phi) / I, and so does its code.
VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
AMPS = (19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3)
PHASES = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


def mean_of(readings: tuple[float, ...]) -> Estimate:
    """Readings taken together share their moment: each is a source of doubt that all three quantities have."""
    n, mean = len(readings), sum(readings) / len(readings)
    return Estimate(mean, {f"moment {k}": (x - mean) / math.sqrt(n * (n - 1)) for k, x in enumerate(readings)})


def from_correlated(values: tuple[float, ...], u: tuple[float, ...], r: NDArray[np.float64]) -> list[Estimate]:
    """The same from uncertainties and correlation coefficients: as many shared sources as there are quantities."""
    shares = np.linalg.cholesky(r) * np.array(u)[:, None]
    return [
        Estimate(value, {f"source {k}": float(part) for k, part in enumerate(row)})
        for value, row in zip(values, shares, strict=True)
    ]


def along(at: Estimate, value: float, slope: float) -> Estimate:
    """A function of an estimate, by its slope."""
    return Estimate(value, {source: slope * part for source, part in at.parts.items()})


def correlation(first: Estimate, second: Estimate) -> float:
    """From the components as they are stored and exported."""
    mine = {one.source: one.u * one.sensitivity for one in first.components}
    others = {one.source: one.u * one.sensitivity for one in second.components}
    return sum(part * others.get(source, 0.0) for source, part in mine.items()) / (first.u * second.u)


def impedance_of(volts: Estimate, amps: Estimate, phase: Estimate) -> tuple[Estimate, Estimate, Estimate]:
    cosine = along(phase, math.cos(phase.value), -math.sin(phase.value))
    sine = along(phase, math.sin(phase.value), math.cos(phase.value))
    return volts * cosine / amps, volts * sine / amps, volts / amps


def test_readings_taken_together_are_correlated_through_the_sources_they_share() -> None:
    # 8.8 from the five readings: u 3.2 mV, 9.5 uA, 0.75 mrad; r -0.36, 0.86, -0.65; R = 127.732(71) with the whole
    # digits that the library prints, u(R) = 0.07107 (GUM 0.071, recalled).
    volts, amps, phase = (mean_of(each) for each in (VOLTS, AMPS, PHASES))
    assert (volts.u, amps.u, phase.u) == pytest.approx((0.0032093613, 9.4710084e-6, 7.520638e-4), rel=1e-6)
    assert correlation(volts, amps) == pytest.approx(-0.36, abs=0.005)
    assert correlation(volts, phase) == pytest.approx(0.86, abs=0.005)
    assert correlation(amps, phase) == pytest.approx(-0.65, abs=0.005)
    resistance, reactance, impedance = impedance_of(volts, amps, phase)
    assert resistance.value == pytest.approx(127.73216992810208, rel=1e-9)
    assert resistance.u == pytest.approx(0.0710714073969954, rel=1e-6)
    assert correlation(resistance, reactance) == pytest.approx(-0.59, abs=0.005)
    assert correlation(resistance, impedance) == pytest.approx(-0.49, abs=0.005)
    assert correlation(reactance, impedance) == pytest.approx(0.99, abs=0.005)


def test_impedance_from_correlated_volts_amps_and_phase() -> None:
    # 8.8 from rounded inputs, as the page has it: R = 127.732(70), X = 219.85(30), Z = 254.26(24), r as above.
    r = np.array([[1.0, -0.36, 0.86], [-0.36, 1.0, -0.65], [0.86, -0.65, 1.0]])
    inputs = from_correlated((4.999, 19.661e-3, 1.04446), (3.2e-3, 9.5e-6, 7.5e-4), r)
    resistance, reactance, impedance = impedance_of(*inputs)
    assert resistance.value == pytest.approx(127.732, abs=5e-4)
    assert resistance.u == pytest.approx(0.070, abs=5e-4)
    assert reactance.value == pytest.approx(219.85, abs=5e-3)
    assert reactance.u == pytest.approx(0.30, abs=5e-3)
    assert impedance.value == pytest.approx(254.26, abs=5e-3)
    assert impedance.u == pytest.approx(0.24, abs=5e-3)
    assert correlation(resistance, reactance) == pytest.approx(-0.59, abs=0.005)
    assert correlation(resistance, impedance) == pytest.approx(-0.49, abs=0.005)
    assert correlation(reactance, impedance) == pytest.approx(0.99, abs=0.005)


def test_sources_of_their_own_would_give_another_doubt() -> None:
    # The same three quantities taken as independent: u(R) is more than twice as large. So the sharing is what counts.
    independent = from_correlated((4.999, 19.661e-3, 1.04446), (3.2e-3, 9.5e-6, 7.5e-4), np.eye(3))
    assert impedance_of(*independent)[0].u > 2 * 0.0711


def test_an_end_gauge() -> None:
    # 8.9: JCGM 100:2008 H.1 (GTC, docs/API/GUM_H1.rst): l = ls + d - ls (d_alpha theta + alpha_s d_theta) in nm:
    # 50 000 838(32), with parts of 25, 16.599, 6.7, 5.8, 3.9 and 2.887 nm. First order; the terms of second order,
    # which the arithmetic here has not, make it 34 nm.
    rectangular, arcsine = math.sqrt(3.0), math.sqrt(2.0)
    standard = Estimate(50_000_623.0, {"ls": 25.0})
    difference = Estimate(215.0, {"d0": 5.8, "d1": 3.9, "d2": 6.7})
    d_alpha = Estimate(0.0, {"d_alpha": 1e-6 / rectangular})
    theta = Estimate(-0.1, {"theta": 0.2, "cyclic": 0.5 / arcsine})
    alpha = Estimate(11.5e-6, {"alpha_s": 2e-6 / rectangular})
    d_theta = Estimate(0.0, {"d_theta": 0.05 / rectangular})
    length = standard + difference - standard * (d_alpha * theta + alpha * d_theta)
    assert length.value == pytest.approx(50_000_838.0, abs=0.5)
    assert length.u == pytest.approx(32.0, abs=0.5)
    told = {one.source: one.u for one in length.components}
    expected = {"ls": 25.0, "d_theta": 16.599, "d2": 6.7, "d0": 5.8, "d1": 3.9, "d_alpha": 2.88679}
    assert told == pytest.approx(expected, rel=1e-4)


def test_a_budget_of_normal_rectangular_and_triangular_parts() -> None:
    # 8.10: EURACHEM/CITAC guide CG 4, example A1 (GTC, docs/API/CITAC_A1.rst): 1000 m P / V = 1002.70, u = 0.835.
    mass = Estimate(100.28, {"mass": 0.05})
    purity = Estimate(0.9999, {"purity": 1e-4 / math.sqrt(3.0)})
    volume = Estimate(100.0, {"flask": 0.1 / math.sqrt(6.0), "filling": 0.02, "warmth": 0.084 / math.sqrt(3.0)})
    found = 1000.0 * (mass * purity) / volume
    assert found.value == pytest.approx(1002.70, abs=0.005)
    assert found.u == pytest.approx(0.835, abs=5e-4)
    told = {one.source: one.u for one in found.components}
    expected = {"mass": 0.49995, "warmth": 0.486284, "flask": 0.40935, "filling": 0.20054, "purity": 0.0578967}
    assert told == pytest.approx(expected, rel=1e-4)


def test_a_voltmeter_s_limits_of_reading_and_range() -> None:
    # 8.11: JCGM 100:2008, 4.3.7 example 2 and 5.1.5 (recalled; arithmetic repeated): 0.928571 V on 1 V, 14e-6 of the
    # reading + 2e-6 of the range: a = 15 uV, u = 8.7 uV, with 12 uV of scatter 15 uV in all.
    stated = Accuracy(percent_of_reading=14e-4, percent_of_range=2e-4)
    limit = stated.limit(0.928571, resolution=1e-6, span=1.0)
    assert limit == pytest.approx(15.0e-6, abs=0.05e-6)
    assert limit / math.sqrt(3.0) == pytest.approx(8.7e-6, abs=0.05e-6)
    assert math.hypot(limit / math.sqrt(3.0), 12e-6) == pytest.approx(14.8e-6, abs=0.05e-6)
    # Ours keeps gain and offset apart and adds them as independent: 7.6 uV, never less than the root of a half of it.
    gain, offset, _ = stated.components(0.928571, resolution=0.0, span=1.0, shared="meter", own="reading")
    ours = math.hypot(gain.u * gain.sensitivity, offset.u * offset.sensitivity)
    assert ours == pytest.approx(math.hypot(13.0e-6, 2.0e-6) / math.sqrt(3.0), abs=0.01e-6)
    assert limit / math.sqrt(6.0) <= ours < limit / math.sqrt(3.0)


def test_a_half_width_over_the_root_of_three() -> None:
    # 8.12: JCGM 100:2008, 4.3.7 example 1 (recalled): +-0.40e-6 is u = 0.23e-6.
    stated = Accuracy(percent_of_reading=0.40e-4)
    gain = stated.components(1.0, resolution=0.0, span=None, shared="copper", own="value")[0]
    assert gain.u * gain.sensitivity == pytest.approx(0.23e-6, abs=0.005e-6)


def test_limit_of_a_digital_meter() -> None:
    # 8.13: D.A. Bell, Electronic Instrumentation and Measurements, Ex 6-2 p149: 20 V where a digit is 0.1 V, 0.6 % of
    # the reading + 1 digit: +-0.22 V, 1.1 %.
    limit = Accuracy(percent_of_reading=0.6, counts=1.0).limit(20.0, resolution=0.1, span=None)
    assert limit == pytest.approx(0.22)
    assert limit / 20.0 == pytest.approx(0.011)


def test_limit_of_a_pointer_meter() -> None:
    # 8.14: Bell, the same example: 20 V on a range of 25 V, 2 % of full scale: +-0.5 V, 2.5 %.
    limit = Accuracy(percent_of_reading=0.0, percent_of_range=2.0).limit(20.0, resolution=0.0, span=25.0)
    assert limit == pytest.approx(0.5)
    assert limit / 20.0 == pytest.approx(0.025)


def test_shared_gain_cancels_in_a_ratio_as_the_reference_library_has_it() -> None:
    # uncertainties 3 as the reference: one gain, two readings on the same range, own noise each.
    gain, noise_a, noise_b = (uncertainties.ufloat(0.0, u) for u in (0.01, 0.002, 0.003))
    reference = (10.0 * (1 + gain) + noise_a) / (4.0 * (1 + gain) + noise_b)
    first = Estimate(10.0, {"meter:volts:10:gain": 0.1, "a:noise": 0.002})
    second = Estimate(4.0, {"meter:volts:10:gain": 0.04, "b:noise": 0.003})
    ratio = first / second
    assert ratio.u == pytest.approx(reference.std_dev, rel=1e-9)
    assert set(c.source for c in ratio.components if c.u > 1e-12) == {"a:noise", "b:noise"}


def test_a_long_expression_as_the_reference_library_has_it() -> None:
    # Watts from three voltages on one range, and a resistor.
    g, r = uncertainties.ufloat(0.0, 0.005), uncertainties.ufloat(1000.0, 6.0)
    na, nb, nc = (uncertainties.ufloat(0.0, 0.01) for _ in range(3))
    s, x, w = 143.0 * (1 + g) + na, 26.6 * (1 + g) + nb, 130.0 * (1 + g) + nc
    reference = (s * s - x * x - w * w) / (2 * r)
    both = Estimate(143.0, {"g": 0.715, "a": 0.01})
    across = Estimate(26.6, {"g": 0.133, "b": 0.01})
    winding = Estimate(130.0, {"g": 0.65, "c": 0.01})
    power = (both * both - across * across - winding * winding) / (2.0 * Estimate(1000.0, {"r": 6.0}))
    assert power.value == pytest.approx(reference.nominal_value)
    assert power.u == pytest.approx(reference.std_dev, rel=1e-9)
