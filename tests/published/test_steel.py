"""Steel tables and the exciting current against published figures; the source stands beside each row.

Published checks, numbered by us. Where a maker's guarantee is named it is from memory: check your copy of EN 10106.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from bench.job.profiles import known, load_table
from bench.magnetics.core_loss import separate_losses
from bench.magnetics.excitation import MagneticCore, exciting, exciting_waveform
from bench.magnetics.steel import LOSS_FREQUENCY_EXPONENT, MU_0, Steel

PYLEECAN = "pyleecan 1.4.2 (Apache-2.0), Material/"


def steel_of(name: str) -> Steel:
    return Steel.from_table(load_table("steels", name))


def published_curve(profile: str, curve: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    field = load_table("steels", profile)["field"]
    (row,) = {one["name"]: tuple(one["field_A_m"]) for one in field["curve"] if one["name"] == curve}.values()
    return np.array(field["flux_density_T"]), np.array(row)


# Of a guarantee only the level at 1.5 T is in the name of a grade: M400-50A loses at most 4.00 W/kg there. A list that
# gives 4.0 W/kg at 1.0 T for it has taken the name for another point; 1.49 W/kg is what the table below has.
@pytest.mark.parametrize(
    ("name", "points", "source"),
    [
        pytest.param(
            "m400-50a", {0.5: 0.46, 1.0: 1.49, 1.2: 2.09, 1.5: 3.57, 1.7: 5.02}, PYLEECAN + "M400-50A.json", id="6.10"
        ),
        pytest.param(
            "m530-65a", {0.5: 0.56, 1.0: 1.85, 1.2: 2.62, 1.5: 4.26, 1.7: 5.59}, PYLEECAN + "M530-65A.json", id="6.11"
        ),
        pytest.param("m19-29ga", {1.0: 1.0891, 1.5: 2.5596}, PYLEECAN + "M19_29Ga.json", id="6.15 at 50 Hz"),
    ],
)
def test_loss_is_the_published_table(name: str, points: dict[float, float], source: str) -> None:
    assert source in load_table("steels", name)["loss"]["source"]
    for flux_density, watts in points.items():
        assert steel_of(name).loss_at(flux_density, 50.0) == pytest.approx(watts, rel=1e-6)


# 6.15: pyleecan 1.4.2, Material/M19_29Ga.json: loss at 50 and 60 Hz, 1.0 and 1.5 T.
@pytest.mark.parametrize(("flux_density", "at_50", "at_60"), [(1.0, 1.0891, 1.3603), (1.5, 2.5596, 3.1747)])
def test_loss_from_fifty_to_sixty_hertz(flux_density: float, at_50: float, at_60: float) -> None:
    assert steel_of("m19-29ga").loss_at(flux_density, 60.0) == pytest.approx(at_60, rel=1e-6)
    # The one exponent for steels that have one table only.
    assert at_50 * 1.2**LOSS_FREQUENCY_EXPONENT == pytest.approx(at_60, rel=0.01)


@pytest.mark.parametrize(
    ("curve", "points", "tolerance"),
    [
        # 6.12: pyleecan 1.4.2, Material/M270-35A.json. The points lie on our grid.
        pytest.param(
            "M270-35A", {1.0: 112, 1.2: 178, 1.4: 596, 1.5: 1700, 1.6: 3880, 1.7: 7160}, 1e-6, id="6.12"
        ),
        # 6.13: pyleecan 1.4.2, Material/M235-35A.json. All but one lie between our points, where ln H runs straight in
        # ln B: 6 % at the foot of the knee, where it bends most.
        pytest.param(
            "M235-35A", {0.9013: 76.4, 1.0872: 111.0, 1.2965: 233.1, 1.5: 1479.6, 1.7406: 8000}, 0.06, id="6.13"
        ),
        # 6.14: pyleecan 1.4.2, Material/M19.json (it describes itself as "M400-50A"; its loss is that of M19).
        pytest.param("M19", {0.5: 51.44, 1.0: 106.2, 1.2: 163.75, 1.5: 1108.3, 1.7: 5591.1}, 1e-3, id="6.14"),
    ],
)  # fmt: skip
def test_published_points_stand_in_the_profile(curve: str, points: dict[float, float], tolerance: float) -> None:
    b, h = published_curve("nonoriented-unknown", curve)
    assert b[0] < min(points) < max(points) < b[-1]
    for flux_density, field in points.items():
        assert np.exp(np.interp(np.log(flux_density), np.log(b), np.log(h))) == pytest.approx(field, rel=tolerance)


def roschke_field(flux_density: NDArray[np.float64], parameters: tuple[float, ...]) -> NDArray[np.float64]:
    """H [A/m] by mu_r = 1 + (mu_i - 1 + c_a b) / (1 + c_b b + b^n), b = B / B_max, as the Modelica library has it."""
    initial, b_max, c_a, c_b, n = parameters
    b = flux_density / b_max
    return np.asarray(flux_density / (MU_0 * (1 + (initial - 1 + c_a * b) / (1 + c_b * b + b**n))))


ROSCHKE = {
    "M350-50A": (1210, 1.16, 24630, 2.44, 14),
    "M530-50A": (2120, 1.25, 12400, 1.6, 13.5),
    "M330-50A": (500, 0.7, 24000, 9.38, 9.6),
    "M700-100A": (1120, 1.2, 20750, 3.55, 13.15),
}
"""Modelica Standard Library, Magnetic.FluxTubes.Material.SoftMagnetic.ElectricSheet: mu_i, B_myMax, c_a, c_b, n."""


@pytest.mark.parametrize(
    ("curve", "points"),
    [
        pytest.param("M350-50A", {1.0: 114.5, 1.2: 183.6, 1.5: 1468}, id="6.16"),
        pytest.param("M530-50A", {1.0: 153.9, 1.2: 211.9, 1.5: 1027}, id="6.17"),
        pytest.param("M330-50A", {0.5: 174.5, 1.0: 1030}, id="6.18"),
        pytest.param("M700-100A", {1.0: 175.0, 1.5: 1069}, id="6.19"),
    ],
)
def test_published_fits_give_their_points(curve: str, points: dict[float, float]) -> None:
    for flux_density, field in points.items():
        assert roschke_field(np.array(flux_density), ROSCHKE[curve]) == pytest.approx(field, rel=0.001)


@pytest.mark.parametrize("curve", ["M350-50A", "M530-50A", "M700-100A"])
def test_the_profiles_hold_the_published_fits_at_every_point(curve: str) -> None:
    b, h = published_curve("nonoriented-unknown", curve)
    assert roschke_field(b, ROSCHKE[curve]) == pytest.approx(h, rel=0.001)


def test_a_whole_core_after_machining_is_no_sheet() -> None:
    # The fit named M330-50A is of a whole core after machining (the library says so): at 1.0 T it takes nine times the
    # field of the M350-50A strip. It is in no profile.
    whole, strip = (roschke_field(np.array(1.0), ROSCHKE[name]) for name in ("M330-50A", "M350-50A"))
    assert whole / strip == pytest.approx(9.0, rel=0.01)
    for name in known("steels"):
        assert "M330-50A" not in [one["name"] for one in load_table("steels", name)["field"]["curve"]]


def test_the_curve_that_is_left_out_misses_its_own_grade() -> None:
    # 6.9: pyleecan 1.4.2, Material/M400-50A.json. At 2500 A/m it gives 1.504 T, below the 1.53 T of polarisation that
    # the grade guarantees (EN 10106, from memory). It is left out of the profiles for that; a core like it would be
    # above the band of the grade at 1.2 and 1.5 T, and that is right for sheet that misses its guarantee.
    field = np.array([100.0, 250.0, 550.0, 1100.0, 2450.0, 6700.0, 19500.0])
    flux = np.array([0.5, 1.0, 1.2, 1.325, 1.5, 1.7, 1.9])
    at_2500 = float(np.interp(math.log(2500.0), np.log(field), flux))
    assert at_2500 - MU_0 * 2500.0 < 1.53
    assert at_2500 == pytest.approx(1.504, abs=0.002)
    steel = steel_of("m400-50a")
    for b, h in ((1.2, 550.0), (1.5, 2450.0)):
        assert math.log(h / float(steel.field_at(b))) > 2 * steel.field_log_spread(b)


# Modelica Standard Library (BSD-3-Clause), Magnetic.FluxTubes.Material.SoftMagnetic.RawData, M330_50A and M400_50A:
# field at 50 Hz from a maker's data sheet, for polarisations of 0.6 to 1.7 T: the next, 1.8 T, lies beyond our tables,
# which end at 1.8 T of flux density. None of it is in a profile.
DATA_SHEETS = {
    "m330-50a": [60, 69, 79, 93, 112, 141, 192, 313, 698, 1932, 4284, 7750],
    "m400-50a": [84, 93, 104, 117, 134, 159, 199, 282, 505, 1284, 3343, 6787],
}


@pytest.mark.parametrize("name", DATA_SHEETS)
def test_another_curve_of_the_same_grade_lies_in_the_grade_s_band(name: str) -> None:
    steel = steel_of(name)
    for polarisation, field in zip(np.arange(6, 18) / 10, DATA_SHEETS[name], strict=True):
        b = float(polarisation + MU_0 * field)
        assert abs(math.log(field / float(steel.field_at(b)))) < 2 * steel.field_log_spread(b)


def test_two_curves_of_one_grade_differ_about_the_knee_as_much_as_two_of_the_family() -> None:
    # Pairs of published curves of one grade: measured and fitted M350-50A and M530-50A (in the profiles, see there),
    # measured and data sheet M330-50A. This is why the name of a grade does not narrow the band.
    b = np.array([1.2, 1.3, 1.4, 1.5])
    pairs = []
    for name in ("m350-50a", "m530-50a"):
        field = load_table("steels", name)["field"]
        at = [field["flux_density_T"].index(one) for one in b]
        one, other = (np.array(curve["field_A_m"])[at] for curve in field["own_curve"])
        pairs.append(np.log(one / other))
    sheet = np.array(DATA_SHEETS["m330-50a"], dtype=float)
    sheet_b = np.arange(6, 18) / 10 + MU_0 * sheet
    on_grid = np.exp(np.interp(np.log(b), np.log(sheet_b), np.log(sheet)))
    pairs.append(np.log(steel_of("m330-50a").field_at(b) / on_grid))
    within_a_grade = np.sqrt(np.mean(np.square(pairs), axis=0) / 2)
    family = np.log(steel_of("nonoriented-unknown").published)
    within_the_family = family.std(axis=0, ddof=1)[[12, 13, 14, 15]]
    assert np.mean(within_a_grade) > 0.8 * np.mean(within_the_family)


@pytest.mark.parametrize(
    "name", [one for one in known("steels") if "own_curve" not in load_table("steels", one)["field"]]
)
def test_every_published_curve_lies_in_its_own_band(name: str) -> None:
    steel = steel_of(name)
    distance = np.abs(np.log(steel.published) - np.log(steel.field)) / steel.log_spread
    assert np.all(distance < 2.0)


@pytest.mark.parametrize("name", known("steels"))
def test_no_published_curve_takes_more_than_the_band_of_an_unknown_steel(name: str) -> None:
    # From 0.4 T up, where exciting current is judged; in weaker fields M700-50A and M800-50A take more (M800-50A by 8 %
    # at 0.3 T and by two thirds at 0.1 T). That they take less about the knee is no fault of a core.
    unknown, steel = steel_of("nonoriented-unknown"), steel_of(name)
    at = unknown.flux_density >= 0.4
    assert np.all((np.log(steel.field / unknown.field) < 2 * unknown.log_spread)[at])


@pytest.mark.parametrize("name", known("steels"))
def test_field_rises_with_flux_and_is_odd(name: str) -> None:
    steel = steel_of(name)
    b = np.linspace(-2.2, 2.2, 441)
    assert np.all(np.diff(steel.field_at(b)) > 0)
    assert steel.field_at(-b) == pytest.approx(-steel.field_at(b))


def test_hysteresis_and_eddy_currents_from_two_frequencies() -> None:
    # 6.20: D.C. Kulshreshtha, Basic Electrical Engineering, Ex 13.8 p382: 100 W at 60 Hz, 60 W at 40 Hz; at 50 Hz
    # 58.33 W of hysteresis and 20.83 W of eddy currents.
    assert separate_losses(100.0, 60.0, 60.0, 40.0).at(50.0) == pytest.approx((58.33, 20.83), abs=0.01)


def straight(field: float, at: float, loss: float, density: float) -> Steel:
    """A steel of one permeability and one loss, as textbook examples have it."""
    return Steel(
        name="textbook",
        density=density,
        flux_density=np.array([0.01, 3.0]),
        field=np.array([0.01, 3.0]) * field / at,
        log_spread=np.zeros(2),
        loss_flux_density=np.array([0.5, 3.0]),
        loss=np.array([loss, loss]),
        loss_frequency=50.0,
        loss_log_spread=0.0,
        loss_exponent=0.0,
    )


def test_core_loss_and_exciting_volt_amperes() -> None:
    # 6.22: A.E. Fitzgerald, C. Kingsley, S.D. Umans, Electric Machinery, Ex 1.8 p28: 4 in2 x 0.94, 28 in, 7.65 g/cm3,
    # 1.2 W/kg and 1.5 VA/kg at 1.5 T and 60 Hz, 275 V peak on 200 turns, 36 A/m at the peak: 13.2 kg, 16 W, 20 VA,
    # 0.10 A rms, 0.13 A peak.
    core = MagneticCore(4 * 0.94 * 0.0254**2, 28 * 0.0254, straight(36.0, 1.5, 1.2, 7650.0))
    volts = 275.0 / math.sqrt(2.0)
    wave = exciting_waveform(core, 200, volts, 60.0)
    assert core.mass == pytest.approx(13.2, rel=0.01)
    assert float(np.max(wave.flux_density)) == pytest.approx(1.5, rel=0.01)
    assert wave.core_loss == pytest.approx(15.84, rel=0.01)
    assert float(np.max(wave.magnetising)) == pytest.approx(0.128, rel=0.01)
    # The book takes volt-amperes per kilogram from a chart of the sheet, not from the field at the peak.
    # It prints the 19.8 VA with two digits.
    assert 1.5 * core.mass == pytest.approx(20.0, abs=0.5)
    assert 1.5 * core.mass / volts == pytest.approx(0.10, abs=0.005)


# R.K. Srivastava, Electrical Machines, Ex 3.5 p36, is the same example with another net area: 2.3e-3 m2, 1.746 A.
# Both books divide the peak of the ampere turns by the root of two: right for the straight steel that they take, and
# for no real one (Sawhney's Ex 5.20 divides by the wave's own peak factor, 2.15).
@pytest.mark.parametrize(
    ("area", "loss_current", "magnetising", "total"),
    [
        # Sawhney prints 1.77 A; the exact arithmetic of his inputs is 1.783 A.
        pytest.param(2.5e-3 * 0.9, 0.285, 1.760, 1.783, id="10.5"),
        pytest.param(2.3e-3, 0.2915, 1.722, 1.746, id="10.6"),
    ],
)
def test_no_load_current_of_a_textbook_core(area: float, loss_current: float, magnetising: float, total: float) -> None:
    # A.K. Sawhney, A Course in Electrical Machine Design, Ex 5.18 p5.99: 400 V, 50 Hz, 800 turns, 2.5 m, relative
    # permeability 1000, 7800 kg/m3, 2.6 W/kg.
    linear = straight(1.0 / (1000 * MU_0), 1.0, 2.6, 7800.0)
    found = exciting(MagneticCore(area, 2.5, linear), 800, 400.0, 50.0)
    assert found.core_loss / 400.0 == pytest.approx(loss_current, abs=0.001)
    assert math.sqrt(found.current**2 - (found.core_loss / 400.0) ** 2) == pytest.approx(magnetising, rel=0.005)
    assert found.current == pytest.approx(total, rel=0.005)


def test_a_gap_adds_ampere_turns_and_no_watts() -> None:
    # Published test of a 30 VA unit at 120 V: 0.05 mm in the joint raised 78.7 mA to 180 mA while the core loss went
    # from 1.44 to 1.46 W (physicsforums.com, showthread 2451198): loss unchanged, current more than doubled.
    table = steel_of("m530-65a")
    # Nearly without loss, so that the peak of the current is that of its magnetising part.
    steel = replace(table, loss=table.loss * 1e-6)
    closed = exciting(MagneticCore(5e-4, 0.132, steel), 1100, 120.0, 60.0)
    gapped = exciting(MagneticCore(5e-4, 0.132, steel, joint=0.05e-3), 1100, 120.0, 60.0)
    assert gapped.core_loss == closed.core_loss
    assert gapped.peak - closed.peak == pytest.approx(closed.flux_density * 0.05e-3 / MU_0 / 1100, rel=0.02)
