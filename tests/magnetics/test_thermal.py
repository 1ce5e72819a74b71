"""What must hold of a temperature estimate whatever the core, and what it refuses."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.job.profiles import load_table
from bench.magnetics.copper import rise_by_resistance
from bench.magnetics.thermal import (
    estimate_rise,
    load_loss_at,
    outer_surface,
    rise_by_surface_coefficient,
    rise_by_surface_load,
)
from bench.magnetics.thermal_class import thermal_class

CLASSES = load_table("limits", "insulation-classes")
EI_96 = outer_surface(0.032, 0.032, 0.016, 0.048)


def test_surface_of_a_scrapless_square_core_counted_face_by_face() -> None:
    # Tongue 2 units, stack 2, window 1 x 3: outline 6 x 5. Edges 2 x 11 x 2 = 44; the faces show 2 x (30 - 4 x 3) = 36;
    # the coil stands out by 1: 2 x (4 x 3) before and behind, 4 sides of 4 x 1, 4 of 3 x 1: 24 + 16 + 12 = 52.
    assert outer_surface(2.0, 2.0, 1.0, 3.0) == pytest.approx(44 + 36 + 52)


def test_a_coil_that_does_not_fill_its_window_shows_less() -> None:
    # Half the build: 8 of the 16 and 6 of the 12 are gone.
    assert outer_surface(2.0, 2.0, 1.0, 3.0, build=0.5) == pytest.approx(44 + 36 + 52 - 14)


@given(st.floats(0.01, 0.1), st.floats(1.1, 3.0))
def test_surface_goes_with_the_square_of_the_size(tongue: float, times: float) -> None:
    one = outer_surface(tongue, tongue, tongue / 2, 1.5 * tongue)
    many = outer_surface(tongue * times, tongue * times, tongue * times / 2, 1.5 * tongue * times)
    assert many == pytest.approx(one * times**2)


@given(st.floats(0.0, 6.0), st.floats(0.5, 8.0), st.floats(1.01, 1.5))
def test_more_loss_is_warmer_and_the_doubt_covers_both_rules(core: float, copper: float, times: float) -> None:
    one, more = estimate_rise(EI_96, core, copper, 293.15), estimate_rise(EI_96, core, copper * times, 293.15)
    assert more.rise > one.rise
    for rule in (one.surface_load, one.surface_coefficient):
        assert abs(rule - one.rise) <= one.u


def test_warm_copper_is_counted_with_its_warm_ohms() -> None:
    found = estimate_rise(EI_96, 3.0, 8.0, 293.15)
    warm = 8.0 * (234.5 + 20.0 + found.rise) / 254.5
    assert found.loss == pytest.approx(3.0 + warm, abs=0.05)
    assert found.rise > rise_by_surface_load(11.0, EI_96)


def test_core_loss_alone_needs_no_solving() -> None:
    found = estimate_rise(EI_96, 5.0, 0.0, 298.15)
    assert found.surface_load == pytest.approx(rise_by_surface_load(5.0, EI_96))
    assert found.surface_coefficient == pytest.approx(rise_by_surface_coefficient(5.0, EI_96))


def test_copper_that_would_run_away_is_refused() -> None:
    with pytest.raises(ValueError, match="expected 10 to 2000 W/m2"):
        estimate_rise(EI_96, 3.0, 60.0, 293.15)


def test_a_surface_load_that_the_rules_do_not_know_is_refused() -> None:
    with pytest.raises(ValueError, match="expected 10 to 2000 W/m2"):
        rise_by_surface_load(0.1, 0.03)
    with pytest.raises(ValueError, match="expected 10 to 2000 W/m2"):
        rise_by_surface_coefficient(100.0, 0.03)


@pytest.mark.parametrize("size", [(0.0, 0.03, 0.02, 0.05, None), (0.03, 0.03, 0.02, 0.05, 0.03)])
def test_a_core_that_cannot_be_is_refused(size: tuple[float, float, float, float, float | None]) -> None:
    with pytest.raises(ValueError, match=r"expected more than 0|does not fit"):
        outer_surface(*size)


def test_load_loss_there_and_back_is_what_it_was() -> None:
    warm = load_loss_at(504.0, 126.0, 293.15, 348.15)
    assert load_loss_at(*warm, 348.15, 293.15) == pytest.approx((504.0, 126.0))


def test_a_letter_needs_its_standard() -> None:
    assert thermal_class(CLASSES, "IEC 60085", "F").limit == 155
    assert thermal_class(CLASSES, "IEC 61558-1 normal use", "F").limit == 140
    with pytest.raises(ValueError, match="expected one of IEC 60085, IEC 60076-11"):
        thermal_class(CLASSES, "", "F")
    with pytest.raises(ValueError, match="no class 'C', expected one of A, E, B, F, H"):
        thermal_class(CLASSES, "IEC 61558-1 normal use", "C")


def test_an_absolute_limit_leaves_less_rise_in_a_warm_place_and_a_mean_rise_the_same() -> None:
    absolute, rise = (thermal_class(CLASSES, name, "A") for name in ("IEC 61558-1 normal use", "IEC 60076-11"))
    assert absolute.rise_allowed(298.15) == pytest.approx(75.0)
    assert absolute.rise_allowed(313.15) == pytest.approx(60.0)
    assert rise.rise_allowed(298.15) == rise.rise_allowed(313.15) == 60.0


def test_the_temperature_of_insulation_is_not_that_of_a_winding() -> None:
    with pytest.raises(ValueError, match="no rise of a winding follows"):
        thermal_class(CLASSES, "IEC 60085", "A").rise_allowed(298.15)


def test_the_resistance_at_the_limit_is_that_of_the_rise() -> None:
    limit = thermal_class(CLASSES, "IEC 60076-11", "A")
    ratio = limit.resistance_ratio(ambient=300.15, cold_temperature=293.15)
    assert rise_by_resistance(10.0, 293.15, 10.0 * ratio, 300.15) == pytest.approx(60.0)


def test_what_was_only_recalled_says_so() -> None:
    for name, rules in CLASSES["standard"].items():
        assert rules["memory"] == name.startswith("IEC 61558-1")
        assert ("from memory" in rules["source"]) == rules["memory"]
