"""What people write as a quantity: read as it was meant, or refused with what was expected."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.quantities import UNITS, Dimension, QuantityError, parse, parse_typed, show

OHM_SIGN, OMEGA, MICRO_SIGN, MU = "\u2126", "\u03a9", "\u00b5", "\u03bc"


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("230 V", Dimension.VOLTAGE, 230.0),
        ("230V", Dimension.VOLTAGE, 230.0),
        ("  230  V  ", Dimension.VOLTAGE, 230.0),
        ("1,5 V", Dimension.VOLTAGE, 1.5),
        ("-1,5 V", Dimension.VOLTAGE, -1.5),
        ("0,125 V", Dimension.VOLTAGE, 0.125),
        ("1234,567 V", Dimension.VOLTAGE, 1234.567),
        (".5 V", Dimension.VOLTAGE, 0.5),
        ("5. V", Dimension.VOLTAGE, 5.0),
        ("1.5e3 V", Dimension.VOLTAGE, 1500.0),
        ("5 kilovolts", Dimension.VOLTAGE, 5000.0),
        ("17.5 mA", Dimension.CURRENT, 0.0175),
        (f"90 {MICRO_SIGN}A", Dimension.CURRENT, 90e-6),
        (f"90 {MU}A", Dimension.CURRENT, 90e-6),
        ("90 uA", Dimension.CURRENT, 90e-6),
        ("0.35 Ohm", Dimension.RESISTANCE, 0.35),
        ("2 kohm", Dimension.RESISTANCE, 2000.0),
        (f"2 k{OMEGA}", Dimension.RESISTANCE, 2000.0),
        (f"2 k{OHM_SIGN}", Dimension.RESISTANCE, 2000.0),
        ("500 Mohm", Dimension.RESISTANCE, 500e6),
        ("0,4 mm", Dimension.LENGTH, 0.4e-3),
        ("10 mil", Dimension.LENGTH, 0.254e-3),
        ("2 inches", Dimension.LENGTH, 0.0508),
        ("3 millimetres", Dimension.LENGTH, 3e-3),
        ("3 mm2", Dimension.AREA, 3e-6),
        ("12.5 cm\u00b2", Dimension.AREA, 12.5e-4),
        ("12 kilogauss", Dimension.FLUX_DENSITY, 1.2),
        ("50 hz", Dimension.FREQUENCY, 50.0),
        ("25 degC", Dimension.TEMPERATURE, 298.15),
        ("25 \u00b0C", Dimension.TEMPERATURE, 298.15),
        ("77 degF", Dimension.TEMPERATURE, 298.15),
        ("298.15 K", Dimension.TEMPERATURE, 298.15),
        ("10 %", Dimension.RATIO, 0.1),
        ("2 lb", Dimension.MASS, 0.90718474),
        ("1 oersted", Dimension.FIELD, 79.57747154594767),
    ],
)
def test_what_people_write_is_read_as_they_mean_it(text: str, dimension: Dimension, value: float) -> None:
    assert parse(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("", Dimension.VOLTAGE),
        ("V", Dimension.VOLTAGE),
        ("1 000 V", Dimension.VOLTAGE),
        ("1.2.3 V", Dimension.VOLTAGE),
        ("1,000.5 V", Dimension.VOLTAGE),
        ("nan V", Dimension.VOLTAGE),
        ("inf V", Dimension.VOLTAGE),
        ("1_0 V", Dimension.VOLTAGE),
        ("1e999 V", Dimension.VOLTAGE),
        ("0x10 V", Dimension.VOLTAGE),
        ("1 V V", Dimension.VOLTAGE),
        ("1 V; 2 V", Dimension.VOLTAGE),
        ("--1 V", Dimension.VOLTAGE),
        ("230 v", Dimension.VOLTAGE),
        ("9" * 200 + " V", Dimension.VOLTAGE),
        ("17.5 ma", Dimension.CURRENT),
        ("1 k", Dimension.RESISTANCE),
        ("4k7", Dimension.RESISTANCE),
        ("5 pcs", Dimension.LENGTH),
        ("2*3 m", Dimension.LENGTH),
        ("5 Gs", Dimension.TIME),
        ("100 turns", Dimension.RATIO),
        ("3 rad", Dimension.RATIO),
        ("60 rpm", Dimension.FREQUENCY),
        ("60 dBm", Dimension.POWER),
        ("3 decibelmilliwatt", Dimension.POWER),
        ("-300 degC", Dimension.TEMPERATURE),
        ("-1 K", Dimension.TEMPERATURE),
        ("5 m", Dimension.TEMPERATURE),
    ],
)
def test_what_is_no_quantity_is_refused_with_an_example_of_one(text: str, dimension: Dimension) -> None:
    with pytest.raises(QuantityError, match=f"expected a {dimension.words} such as {dimension.example!r}") as refused:
        parse(text, dimension)
    assert len(str(refused.value).splitlines()) == 1
    assert len(str(refused.value)) < 200


def test_a_thousands_comma_is_told_from_a_decimal_comma_by_the_person() -> None:
    with pytest.raises(QuantityError, match=r"can mean a thousand or a fraction: write '1000' or '1\.000'"):
        parse("1,000 V", Dimension.VOLTAGE)


def test_another_dimension_is_named() -> None:
    with pytest.raises(QuantityError, match="'230 mm' is a length, expected a voltage"):
        parse("230 mm", Dimension.VOLTAGE)


def test_a_temperature_is_no_length() -> None:
    with pytest.raises(QuantityError, match="'20 degC' is a temperature, expected a length"):
        parse("20 degC", Dimension.LENGTH)


def test_a_bare_number_is_refused_in_a_file() -> None:
    with pytest.raises(QuantityError, match="'230' has no unit, expected a voltage"):
        parse("230", Dimension.VOLTAGE)


def test_a_bare_number_is_taken_at_a_prompt_that_names_the_unit() -> None:
    assert parse("230", Dimension.VOLTAGE, bare=True) == 230.0


@pytest.mark.parametrize(
    ("text", "dimension", "resolution"),
    [
        ("230 V", Dimension.VOLTAGE, 1.0),
        ("230.4 V", Dimension.VOLTAGE, 0.1),
        ("230.40 V", Dimension.VOLTAGE, 0.01),
        ("230,40 V", Dimension.VOLTAGE, 0.01),
        ("17.5 mA", Dimension.CURRENT, 0.1e-3),
        ("0.350 kohm", Dimension.RESISTANCE, 1.0),
        ("1.5e3 V", Dimension.VOLTAGE, 100.0),
        ("20.5 degC", Dimension.TEMPERATURE, 0.1),
        ("70 degF", Dimension.TEMPERATURE, 5 / 9),
    ],
)
def test_the_digits_typed_tell_the_resolution(text: str, dimension: Dimension, resolution: float) -> None:
    assert parse_typed(text, dimension).resolution == pytest.approx(resolution, rel=1e-12)


# How pint spells what we write otherwise; everything else in our table it knows by the same name.
PINT_SPELLING = {
    "hz": "hertz",
    "amps": "ampere",
    "mm2": "mm**2",
    "mm\u00b2": "mm**2",
    "cm2": "cm**2",
    "cm\u00b2": "cm**2",
    "m2": "m**2",
    "in2": "inch**2",
    "in": "inch",
    "mil": "thou",
    "Oe": "ampere/metre * 1000 / (4 * pi)",
    "oersted": "ampere/metre * 1000 / (4 * pi)",
    "G": "1e-4 * tesla",
    "gauss": "1e-4 * tesla",
    "kG": "0.1 * tesla",
    "kilogauss": "0.1 * tesla",
    "VA": "volt * ampere",
    "mVA": "1e-3 * volt * ampere",
    "kVA": "1e3 * volt * ampere",
    "MVA": "1e6 * volt * ampere",
    "uVA": "1e-6 * volt * ampere",
    f"{MICRO_SIGN}VA": "1e-6 * volt * ampere",
    f"{MU}VA": "1e-6 * volt * ampere",
    "%": "percent",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def _as_pint_spells(unit: str) -> str:
    return PINT_SPELLING.get(unit) or unit.replace("Ohm", "ohm").replace(OHM_SIGN, OMEGA)


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_each_unit_is_worth_what_pint_says(registry: pint.UnitRegistry, unit: str) -> None:
    dimension, factor = UNITS[unit]
    si = {"m2": "m**2", "1": "dimensionless", "VA": "volt * ampere"}.get(dimension.si, dimension.si)
    by_pint = registry.parse_expression(_as_pint_spells(unit)) * registry.Quantity(1.0, "dimensionless")
    assert by_pint.to(si).magnitude == pytest.approx(factor, rel=1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.0175, "A", "17.50 mA"),
        (-0.0175, "A", "-17.50 mA"),
        (0.99996, "A", "1.000 A"),
        (2000.0, "A", "2.000 kA"),
        (0.0, "V", "0 V"),
        (230.0, "V", "230.0 V"),
        (293.15, "K", "20.0 °C"),
        (0.1, "1", "10 %"),
        (0.0004, "m", "0.4 mm"),
        (0.35, "kg", "350.0 g"),
        (12.5e-4, "m2", "12.50 cm2"),
        (1500.0, "A/m", "1.500 kA/m"),
        (0.05, "Hz", "0.05000 Hz"),
        (3600.0, "s", "3600 s"),
        (2.5e8, "ohm", "250.0 Mohm"),
    ],
)
def test_a_value_is_shown_as_it_would_be_written(value: float, unit: str, shown: str) -> None:
    assert show(value, unit) == shown


SHOWN_TO_THE_MILLITESLA = {Dimension.FLUX_DENSITY, Dimension.TEMPERATURE}


@given(
    dimension=st.sampled_from(sorted(set(Dimension) - SHOWN_TO_THE_MILLITESLA, key=lambda each: each.name)),
    value=st.floats(1e-6, 1e6),
)
def test_what_is_shown_can_be_typed_again(dimension: Dimension, value: float) -> None:
    assert parse(show(value, dimension.si), dimension) == pytest.approx(value, rel=0.51e-3)


@given(st.floats(0.0, 2.5))
def test_flux_density_is_shown_to_the_millitesla(value: float) -> None:
    assert parse(show(value, "T"), Dimension.FLUX_DENSITY) == pytest.approx(value, abs=0.51e-3)


@given(st.floats(0.0, 800.0))
def test_temperature_is_shown_to_a_tenth(value: float) -> None:
    assert parse(show(value + 0.1, "K"), Dimension.TEMPERATURE) == pytest.approx(value + 0.1, abs=0.051)


ALMOST_QUANTITIES = st.one_of(
    st.text(max_size=100),
    st.from_regex(r"[+-]?[0-9.,eE_ ]{1,12} ?[A-Za-z%/°µΩ²*]{0,8}", fullmatch=True),
    st.tuples(st.from_regex(r"-?[0-9]{1,30}([.,][0-9]{0,30})?(e-?[0-9]{1,3})?", fullmatch=True),
              st.sampled_from([*UNITS, "kilovolts", "furlongs", "degC", "K", "pcs", "turns"])).map(" ".join),
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(text=ALMOST_QUANTITIES, dimension=st.sampled_from(Dimension))
def test_any_text_gives_a_finite_value_or_one_line_of_refusal(text: str, dimension: Dimension) -> None:
    value, refusal = _outcome(text, dimension)
    assert math.isfinite(value)
    assert len(refusal.splitlines()) <= 1


def _outcome(text: str, dimension: Dimension) -> tuple[float, str]:
    try:
        return parse(text, dimension, bare=True), ""
    except QuantityError as refused:
        return 0.0, str(refused)
