"""What must hold of a steel's tables, its knee and its spread, whatever the grade."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import known, load_table
from bench.magnetics.steel import LOSS_FREQUENCY_EXPONENT, Steel

GRADES = {name: Steel.from_table(load_table("steels", name)) for name in known("steels")}
BY_ITSELF = [name for name in GRADES if "own_curve" in load_table("steels", name)["field"]]


def power_law(exponent: float) -> Steel:
    """Field with the cube of the flux up to 1 T, and with a higher power above."""
    b = np.array([0.1, 1.0, 2.0])
    return replace(GRADES["m400-50a"], flux_density=b, field=np.array([0.1, 100.0, 100.0 * 2.0**exponent]))


@pytest.mark.parametrize("name", GRADES)
def test_every_file_holds_the_same_seven_curves(name: str) -> None:
    family = load_table("steels", "nonoriented-unknown")["field"]
    field = load_table("steels", name)["field"]
    assert field["curve"] == family["curve"]
    assert field["flux_density_T"] == family["flux_density_T"]


@pytest.mark.parametrize("name", BY_ITSELF)
def test_a_grade_of_its_own_is_centred_on_its_own_curves_and_no_narrower(name: str) -> None:
    field = load_table("steels", name)["field"]
    own = np.array([one["field_A_m"] for one in field["own_curve"]])
    steel, unknown = GRADES[name], GRADES["nonoriented-unknown"]
    assert steel.field == pytest.approx(np.exp(np.log(own).mean(axis=0)))
    assert np.all(steel.log_spread > unknown.log_spread)
    assert np.all(np.abs(np.log(own / steel.field)) < 2 * steel.log_spread)


@pytest.mark.parametrize("name", BY_ITSELF)
def test_an_own_curve_that_is_also_one_of_the_seven_is_the_same_row(name: str) -> None:
    field = load_table("steels", name)["field"]
    family = {one["name"]: one for one in field["curve"]}
    for one in field["own_curve"]:
        assert one == family.get(one["name"], one)


@pytest.mark.parametrize("name", GRADES)
def test_each_curve_says_where_it_is_from_and_rises(name: str) -> None:
    table = load_table("steels", name)
    for one in table["field"]["curve"] + table["field"].get("own_curve", []):
        assert one["source"]
        assert np.all(np.diff(one["field_A_m"]) > 0)
    assert table["loss"]["source"]
    assert table["loss"]["log_spread_source"]
    assert np.all(np.diff(table["loss"]["loss_W_kg"]) > 0)


@pytest.mark.parametrize("name", GRADES)
def test_at_the_knee_a_tenth_more_flux_takes_half_as_much_field_again(name: str) -> None:
    steel = GRADES[name]
    knee = steel.knee_flux_density
    assert float(steel.field_at(1.1 * knee) / steel.field_at(knee)) == pytest.approx(1.5, rel=1e-6)
    below = np.linspace(0.1, knee - 0.02, 50)
    assert np.all(steel.field_at(1.1 * below) < 1.5 * steel.field_at(below))
    assert 1.0 < knee < 1.5


@given(st.floats(5.0, 12.0))
def test_the_knee_of_a_made_up_bend_is_where_the_step_straddles_it(exponent: float) -> None:
    # From b = 1.1^-x the step of 10 % lies x in the cube law and 1 - x above: 3 x + exponent (1 - x) = ln 1.5 / ln 1.1.
    wanted = math.log(1.5) / math.log(1.1)
    x = (exponent - wanted) / (exponent - 3.0)
    assert power_law(exponent).knee_flux_density == pytest.approx(1.1**-x, rel=1e-6)


def test_a_steel_without_a_bend_has_no_knee() -> None:
    with pytest.raises(ValueError, match=r"no knee between 0\.1 and 2 T"):
        _ = power_law(3.0).knee_flux_density


def test_the_knee_s_spread_is_that_of_the_curves_knees() -> None:
    steel = GRADES["nonoriented-unknown"]
    knees = [replace(steel, field=curve).knee_flux_density for curve in steel.published]
    # Student's t for six degrees of freedom, 2.4469 (any table), against the 2 of two standard uncertainties.
    assert steel.knee_spread == pytest.approx(np.std(knees, ddof=1) * math.sqrt(8 / 7) * 2.4469 / 2, rel=1e-4)
    assert all(abs(knee - steel.knee_flux_density) < 2 * steel.knee_spread for knee in knees)


def test_a_made_up_steel_has_no_spread_of_its_knee() -> None:
    with pytest.raises(ValueError, match="0 published curves"):
        _ = replace(GRADES["m400-50a"], published=np.empty((0, 0))).knee_spread


@given(st.floats(0.01, 2.0), st.floats(45.0, 65.0))
def test_without_a_second_table_the_loss_goes_with_one_power_of_the_frequency(b: float, frequency: float) -> None:
    steel = GRADES["m530-65a"]
    ratio = steel.loss_at(b, frequency) / steel.loss_at(b, 50.0)
    assert ratio == pytest.approx((frequency / 50.0) ** LOSS_FREQUENCY_EXPONENT)


def test_a_second_table_is_met_at_its_own_frequency() -> None:
    (further,) = load_table("steels", "m19-29ga")["loss"]["further"]
    for b, watts in zip(further["flux_density_T"], further["loss_W_kg"], strict=True):
        if watts > 0.06:
            assert GRADES["m19-29ga"].loss_at(b, 60.0) == pytest.approx(watts, rel=1e-6)


def test_a_frequency_beyond_the_tables_is_refused() -> None:
    with pytest.raises(ValueError, match="expected 40 to 70 Hz"):
        GRADES["m19-29ga"].loss_at(1.0, 400.0)
