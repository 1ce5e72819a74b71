"""The inrush bound against a time-domain solution of its own, and what must hold of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from bench.job.profiles import load_table
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.inrush import air_core_inductance, inrush_bound, limiter_for, worst_flux_density
from bench.magnetics.steel import MU_0, Steel

SATURATION = 2.03
"""Polarisation [T] at which silicon sheet is full (from memory); the tables end at 1.8 T."""


@dataclass(frozen=True)
class Unit:
    """A fed winding on a core; area and mean turn in m2, lengths in m."""

    core: MagneticCore
    turns: int
    volts: float
    hertz: float
    ohms: float
    mean_turn_area: float
    length: float

    @property
    def air_core(self) -> float:
        return air_core_inductance(self.turns, self.mean_turn_area, self.length)

    def bound(self, remanence: float, added: float = 0.0) -> float:
        found = inrush_bound(
            self.core, self.turns, self.volts, self.hertz, self.ohms + added, self.air_core, remanence
        )  # fmt: skip
        return found.peak


STEEL = Steel.from_table(load_table("steels", "m530-65a"))
CHEAP = Steel.from_table(load_table("steels", "m800-50a"))
UNITS = {
    "100 VA": Unit(MagneticCore(1.34e-3, 0.192, STEEL, joint=8e-6), 662, 230.0, 50.0, 8.0, 1.9e-3, 0.045),
    "15 VA": Unit(MagneticCore(4.5e-4, 0.132, CHEAP, joint=8e-6), 2200, 230.0, 50.0, 150.0, 7e-4, 0.03),
    "400 VA": Unit(MagneticCore(3.4e-3, 0.24, STEEL), 260, 230.0, 50.0, 0.9, 4.4e-3, 0.055),
    "117 V at 60 Hz": Unit(MagneticCore(1.34e-3, 0.192, CHEAP), 330, 117.0, 60.0, 2.5, 1.9e-3, 0.045),
    "butt joints": Unit(MagneticCore(1.34e-3, 0.192, STEEL, joint=6e-5), 662, 230.0, 50.0, 8.0, 1.9e-3, 0.045),
}


def simulated_peak(unit: Unit, remanence: float, added: float = 0.0, phase: float = 0.0) -> float:
    """Highest current [A] of the first cycle, by integrating dflux/dt = v - R i through a steel that fills softly.

    Up to the end of its table the steel is the table's, with straight lines between; above, its polarisation closes in
    on that of full saturation, with the slope that the table ends with. Volts at `phase` when switched on.
    """
    core = unit.core
    table = core.steel.flux_density - MU_0 * core.steel.field
    slope = (table[-1] - table[-2]) / (core.steel.field[-1] - core.steel.field[-2])
    rate = slope / (SATURATION - table[-1])
    field = np.concatenate([[0.0], np.geomspace(1.0, 3e7, 6000)])
    above = SATURATION - (SATURATION - table[-1]) * np.exp(-rate * np.maximum(field - core.steel.field[-1], 0.0))
    inside = np.interp(field, np.concatenate([[0.0], core.steel.field]), np.concatenate([[0.0], table]))
    polarisation = np.where(field > core.steel.field[-1], above, inside)
    current = (field * core.path + (polarisation + MU_0 * field) * core.joint / MU_0) / unit.turns
    linkage = unit.turns * core.area * polarisation + unit.air_core * current
    omega, ohms = 2 * math.pi * unit.hertz, unit.ohms + added

    def amperes(flux: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
        return np.sign(flux) * np.interp(np.abs(flux), linkage, current)

    solved = solve_ivp(
        lambda t, y: math.sqrt(2.0) * unit.volts * math.sin(omega * t + phase) - ohms * amperes(y),
        (0.0, 1.0 / unit.hertz),
        [unit.turns * core.area * remanence],
        max_step=1.0 / unit.hertz / 400,
        rtol=1e-7,
    )
    return float(np.max(amperes(solved.y[0])))


@pytest.mark.parametrize("remanence", [0.0, 0.4, 0.8, 1.2])
@pytest.mark.parametrize("name", UNITS)
@pytest.mark.parametrize("added", [0.0, 15.0, 100.0])
def test_no_simulated_peak_passes_the_bound_nor_is_it_idle(name: str, remanence: float, added: float) -> None:
    unit = UNITS[name]
    simulated, bound = simulated_peak(unit, remanence, added), unit.bound(remanence, added)
    assert simulated <= bound < 3 * simulated


@pytest.mark.parametrize("phase", [-0.6, -0.2, 0.3, 1.0, 2.0, math.pi])
def test_no_other_instant_is_worse(phase: float) -> None:
    # Before the zero the volts take flux away first; after it, some of the half cycle is gone.
    unit = UNITS["100 VA"]
    assert simulated_peak(unit, 0.8, phase=phase) < unit.bound(0.8)


@given(st.sampled_from(sorted(UNITS)), st.floats(0.0, 1.5), st.floats(0.0, 0.2), st.floats(0.0, 300.0))
def test_more_remanence_is_no_better_and_more_resistance_no_worse(
    name: str, remanence: float, more: float, added: float
) -> None:
    unit = UNITS[name]
    assert unit.bound(remanence + more) >= unit.bound(remanence) * (1 - 1e-9)
    assert unit.bound(remanence, added) <= unit.bound(remanence) * (1 + 1e-9)


def test_a_core_with_flux_to_spare_draws_only_what_its_steel_takes() -> None:
    unit = replace(UNITS["100 VA"], volts=100.0)
    found = inrush_bound(unit.core, 662, 100.0, 50.0, 8.0, unit.air_core, 0.0)
    assert found.saturated_at == math.inf
    assert found.flux_density < 1.8
    expected = float(STEEL.field_at(found.flux_density)) * 0.192 / 662 + found.flux_density * 8e-6 / MU_0 / 662
    assert found.peak == pytest.approx(expected)


@given(st.sampled_from(sorted(UNITS)), st.floats(0.0, 1.5), st.floats(0.05, 0.95))
def test_the_limiter_for_a_peak_brings_the_bound_to_it(name: str, remanence: float, fraction: float) -> None:
    unit = UNITS[name]
    wanted = fraction * unit.bound(remanence)
    rest = (unit.core, unit.turns, unit.volts, unit.hertz, unit.ohms, unit.air_core, remanence)
    assert unit.bound(remanence, limiter_for(wanted, *rest)) == pytest.approx(wanted, rel=1e-6)
    assert limiter_for(1.01 * unit.bound(remanence), *rest) == 0.0


# 10.21: the flux of a core switched on where the volts pass through nothing reaches twice its steady peak
# (veepeegroup.com, page on transformer inrush; any textbook). 10.22: with remanence 2 Bm + Br (from memory).
@pytest.mark.parametrize(
    ("peak", "remanence", "worst"),
    [pytest.param(1.2, 0.0, 2.4, id="10.21"), pytest.param(1.2, 0.8, 3.2, id="10.22")],
)
def test_the_worst_flux_is_twice_the_steady_peak_and_the_remanence(peak: float, remanence: float, worst: float) -> None:
    assert worst_flux_density(peak, remanence) == pytest.approx(worst)
    # The same by integrating the volts from their zero: N A B' = sqrt2 V sin(wt).
    phase = np.linspace(0.0, math.pi, 2001)
    offset = remanence + peak * np.concatenate([[0.0], np.cumsum((np.sin(phase[1:]) + np.sin(phase[:-1])) / 2)]) * (
        phase[1] - phase[0]
    )
    assert float(np.max(offset)) == pytest.approx(worst, rel=1e-6)


# Nagaoka's coefficient of a round single-layer coil, by diameter over length: 0.8499 at 0.4 and 0.6884 at 1
# (H. Nagaoka 1909, as any handbook of radio has it; from memory).
@pytest.mark.parametrize(("shape", "coefficient"), [(0.4, 0.8499), (1.0, 0.6884)])
def test_air_core_inductance_is_that_of_nagaoka(shape: float, coefficient: float) -> None:
    length = 0.05
    area = math.pi / 4 * (shape * length) ** 2
    long_coil = MU_0 * 500**2 * area / length
    assert air_core_inductance(500, area, length) == pytest.approx(coefficient * long_coil, rel=0.01)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"resistance": -1.0}, "must not be negative"),
        ({"air_core": 0.0}, "more than 0"),
        ({"remanence": 1.8}, r"expected 0 to below 1\.8 T"),
        ({"remanence": -0.1}, "expected 0 to below"),
    ],
)
def test_outside_the_range_is_refused(change: dict[str, float], message: str) -> None:
    values = {"resistance": 8.0, "air_core": 0.015, "remanence": 0.8} | change
    with pytest.raises(ValueError, match=message):
        inrush_bound(UNITS["100 VA"].core, 662, 230.0, 50.0, **values)


def test_a_flat_coil_is_outside_the_formula() -> None:
    with pytest.raises(ValueError, match="too short"):
        air_core_inductance(500, 0.01, 0.01)
    with pytest.raises(ValueError, match="more than 0"):
        air_core_inductance(0, 0.01, 0.1)
    with pytest.raises(ValueError, match="must not be negative"):
        worst_flux_density(-1.0, 0.0)
    with pytest.raises(ValueError, match="expected more than 0"):
        limiter_for(0.0, UNITS["100 VA"].core, 662, 230.0, 50.0, 8.0, 0.015, 0.8)
