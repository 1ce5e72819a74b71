"""Text with units to SI numbers, and back; the only room that knows pint.

People write `0.4 mm`, `0,4 mm`, `17.5mA`, `12 kilogauss`: a number, then a unit. The common
units are read by a strict grammar and a table of our own; what is not in the table is offered to pint as a
plain number and a plain unit (pint's own parser takes `1,5 V` for 15 V and `1 k` for Boltzmann's constant).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from functools import lru_cache
from typing import Any

__all__ = ["Dimension", "QuantityError", "Typed", "parse", "parse_typed", "show", "written_pattern"]


class QuantityError(ValueError):
    """The text is not a quantity of the kind that is due; the message says what was expected."""


class Dimension(Enum):
    """What a quantity measures: its name in words, SI unit, and an example of how a person writes it."""

    VOLTAGE = ("voltage", "V", "230 V")
    CURRENT = ("current", "A", "17.5 mA")
    RESISTANCE = ("resistance", "ohm", "12.5 ohm")
    FREQUENCY = ("frequency", "Hz", "50 Hz")
    LENGTH = ("length", "m", "0.4 mm")
    AREA = ("area", "m2", "12.5 cm2")
    FLUX_DENSITY = ("flux density", "T", "1.2 T")
    FIELD = ("field strength", "A/m", "150 A/m")
    POWER = ("power", "W", "3.2 W")
    APPARENT_POWER = ("apparent power", "VA", "60 VA")
    MASS = ("mass", "kg", "350 g")
    TEMPERATURE = ("temperature", "K", "22 degC")
    TIME = ("time", "s", "60 s")
    CAPACITANCE = ("capacitance", "F", "16 \u00b5F")
    INDUCTANCE = ("inductance", "H", "10 H")
    RATIO = ("ratio", "1", "10 %")

    def __init__(self, words: str, si: str, example: str) -> None:
        self.words = words
        self.si = si
        self.example = example


_D = Dimension
# The micro sign and the Greek letter, and below the ohm sign and the Greek letter, look alike; people type either.
_MICRO = "u\u00b5\u03bc"
_PREFIXES = {"": 1.0, "p": 1e-12, "n": 1e-9, "m": 1e-3, "k": 1e3, "M": 1e6, **dict.fromkeys(_MICRO, 1e-6)}


def _with_prefixes(units: tuple[str, ...], allowed: str, dimension: Dimension) -> dict[str, tuple[Dimension, float]]:
    table = {}
    for unit in units:
        for prefix, factor in _PREFIXES.items():
            if prefix == "" or prefix in allowed:
                table[prefix + unit] = (dimension, factor)
    return table


# Symbol -> dimension and factor to SI. Checked against pint by a test.
UNITS: dict[str, tuple[Dimension, float]] = {
    **_with_prefixes(("V", "volt", "volts"), _MICRO + "mk", _D.VOLTAGE),
    **_with_prefixes(("A", "amp", "amps"), _MICRO + "mk", _D.CURRENT),
    **_with_prefixes(("ohm", "ohms", "Ohm", "\u03a9", "\u2126"), _MICRO + "mkM", _D.RESISTANCE),
    **_with_prefixes(("Hz", "hertz"), "k", _D.FREQUENCY),
    "hz": (_D.FREQUENCY, 1.0),
    "kilohertz": (_D.FREQUENCY, 1e3),
    **_with_prefixes(("m",), _MICRO + "m", _D.LENGTH),
    "cm": (_D.LENGTH, 1e-2),
    "in": (_D.LENGTH, 0.0254),
    "inch": (_D.LENGTH, 0.0254),
    "inches": (_D.LENGTH, 0.0254),
    "mil": (_D.LENGTH, 2.54e-5),
    "thou": (_D.LENGTH, 2.54e-5),
    "mm2": (_D.AREA, 1e-6),
    "mm²": (_D.AREA, 1e-6),
    "cm2": (_D.AREA, 1e-4),
    "cm²": (_D.AREA, 1e-4),
    "m2": (_D.AREA, 1.0),
    "in2": (_D.AREA, 0.0254**2),
    **_with_prefixes(("T", "tesla"), "m", _D.FLUX_DENSITY),
    "gauss": (_D.FLUX_DENSITY, 1e-4),
    "G": (_D.FLUX_DENSITY, 1e-4),
    "kG": (_D.FLUX_DENSITY, 0.1),
    "kilogauss": (_D.FLUX_DENSITY, 0.1),
    "A/m": (_D.FIELD, 1.0),
    "kA/m": (_D.FIELD, 1e3),
    "A/cm": (_D.FIELD, 100.0),
    "oersted": (_D.FIELD, 1e3 / (4 * math.pi)),
    "Oe": (_D.FIELD, 1e3 / (4 * math.pi)),
    **_with_prefixes(("W", "watt", "watts"), _MICRO + "mkM", _D.POWER),
    **_with_prefixes(("VA",), _MICRO + "mkM", _D.APPARENT_POWER),
    "g": (_D.MASS, 1e-3),
    "kg": (_D.MASS, 1.0),
    "lb": (_D.MASS, 0.45359237),
    "oz": (_D.MASS, 0.028349523125),
    "s": (_D.TIME, 1.0),
    "ms": (_D.TIME, 1e-3),
    "min": (_D.TIME, 60.0),
    "h": (_D.TIME, 3600.0),
    **_with_prefixes(("F", "farad"), "pnm" + _MICRO, _D.CAPACITANCE),
    **_with_prefixes(("H", "henry"), "m" + _MICRO, _D.INDUCTANCE),
    "%": (_D.RATIO, 1e-2),
    "percent": (_D.RATIO, 1e-2),
}
_CELSIUS = {"degC", "°C", "C", "celsius"}
_FAHRENHEIT = {"degF", "°F", "F"}

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,2})?"
_TEXT = re.compile(rf"\s*({_NUMBER})\s*([^\s\d+\-.,].*?)?\s*\Z")
_THOUSANDS = re.compile(r"[+-]?\d{1,3},\d{3}(?:\D|\Z)")


@dataclass(frozen=True, slots=True)
class Typed:
    """A quantity as typed: SI value, and the worth of one step of its last digit, SI."""

    value: float
    resolution: float


def parse(text: str, dimension: Dimension, *, bare: bool = False) -> float:
    """SI value of what a person wrote, such as `0,4 mm` for Dimension.LENGTH.

    bare: whether a number without a unit is taken in the SI unit (at a prompt that says which).
    Raises QuantityError with what was expected.
    """
    return parse_typed(text, dimension, bare=bare).value


def parse_typed(text: str, dimension: Dimension, *, bare: bool = False) -> Typed:
    """Like `parse`, and the resolution that the digits show: `230.4 V` is typed to 0.1 V."""
    expected = f"expected a {dimension.words} such as {dimension.example!r}"
    match = _TEXT.match(text) if len(text) <= 80 else None
    if match is None:
        raise QuantityError(f"{_clip(text)} is no quantity, {expected}")
    digits, unit = match.group(1), match.group(2)
    if _THOUSANDS.match(digits) and not digits.startswith(("0,", "+0,", "-0,")):
        raise QuantityError(
            f"{_clip(text)} can mean a thousand or a fraction: write {digits.replace(',', '')!r} "
            f"or {digits.replace(',', '.')!r}"
        )
    number = Decimal(digits.replace(",", "."))
    exponent = number.as_tuple().exponent
    step = 10.0 ** (exponent if isinstance(exponent, int) else 0)
    if unit is None:
        if not bare:
            raise QuantityError(f"{_clip(text)} has no unit, {expected}")
        return Typed(float(number), step)
    # F is a farad where a capacitance is due.
    if unit in _CELSIUS or (unit in _FAHRENHEIT and dimension is not Dimension.CAPACITANCE):
        if dimension is not Dimension.TEMPERATURE:
            raise QuantityError(f"{_clip(text)} is a temperature, {expected}")
        if unit in _CELSIUS:
            return _above_zero(Typed(float(number) + 273.15, step), text, expected)
        return _above_zero(Typed((float(number) - 32) * 5 / 9 + 273.15, step * 5 / 9), text, expected)
    if unit == "K" and dimension is Dimension.TEMPERATURE:
        return _above_zero(Typed(float(number), step), text, expected)
    found, factor = UNITS.get(unit) or _by_pint(unit, dimension) or (None, 0.0)
    if found is None:
        raise QuantityError(f"{_clip(text)} has an unknown unit {_clip(unit)}, {expected}")
    if found is not dimension:
        raise QuantityError(f"{_clip(text)} is a {found.words}, {expected}")
    return Typed(float(number) * factor, step * factor)


def _above_zero(kelvin: Typed, text: str, expected: str) -> Typed:
    if kelvin.value < 0:
        raise QuantityError(f"{_clip(text)} is below absolute zero, {expected}")
    return kelvin


def _clip(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def _by_pint(unit: str, dimension: Dimension) -> tuple[Dimension, float] | None:
    """The long tail: units that pint knows by the name that is written out, of the dimension that is due.

    Symbols are ours or nobody's: pint takes "ma" for a milliyear and "pcs" for parsecs.
    """
    if not re.fullmatch(r"[A-Za-z]{3,20}(?:/[A-Za-z]{3,20})?", unit) or dimension not in _PINT_SI:
        return None
    if not all(_written_out(part) for part in unit.split("/")):
        return None
    registry = _registry()
    try:
        one, two = (float(registry.Quantity(n, unit).to(_PINT_SI[dimension]).magnitude) for n in (1.0, 2.0))
    except Exception:  # pint raises a dozen kinds for what is no unit; all mean the same here
        return None
    return (dimension, one) if math.isclose(two, 2 * one) else None  # decibels and the like are no factor


def _written_out(name: str) -> bool:
    """Whether pint knows the name in full, such as `kilovolts` or `millimetre`."""
    # pint's own names are American, its British ones are aliases
    wanted = name.replace("metre", "meter").removesuffix("s")
    parsed = _registry().parse_unit_name(name)
    return any((prefix + base).removesuffix("s") == wanted for prefix, base, _ in parsed)


# Without ratio and frequency: to pint a turn is the number 6.28, and 60 rpm are 6.28 per second.
_PINT_SI = {
    _D.VOLTAGE: "volt",
    _D.CURRENT: "ampere",
    _D.RESISTANCE: "ohm",
    _D.LENGTH: "metre",
    _D.AREA: "metre**2",
    _D.FLUX_DENSITY: "tesla",
    _D.FIELD: "ampere/metre",
    _D.POWER: "watt",
    _D.APPARENT_POWER: "volt*ampere",
    _D.MASS: "kilogram",
    _D.TIME: "second",
    _D.CAPACITANCE: "farad",
    _D.INDUCTANCE: "henry",
}


def written_pattern(dimension: Dimension) -> str:
    """A regular expression, as ECMA-262 and JSON Schema have it, of what `parse` reads for a dimension.

    It lets through what may be one of the units that pint knows by name; nothing that `parse` reads is left out, but
    for digits other than 0 to 9.
    """
    units = {unit for unit, (measures, _) in UNITS.items() if measures is dimension}
    if dimension is Dimension.TEMPERATURE:
        units |= {"K"} | _CELSIUS | _FAHRENHEIT
    written = "|".join(re.escape(unit) for unit in sorted(units, key=lambda unit: (-len(unit), unit)))
    if dimension in _PINT_SI:
        others = {unit for unit, (measures, _) in UNITS.items() if measures is not dimension} | _CELSIUS | _FAHRENHEIT
        theirs = "|".join(sorted(unit for unit in others if unit.isalpha() and unit.isascii() and len(unit) >= 3))
        written += rf"|(?!(?:{theirs})\s*$)[A-Za-z]{{3,20}}(?:/[A-Za-z]{{3,20}})?"
    ambiguous = r"(?!\s*[+-]?(?!0,)\d{1,3},\d{3}(?!\d))"
    number = _NUMBER.replace(r"\d", "[0-9]")
    return rf"^{ambiguous}\s*{number}\s*(?:{written})\s*$"


_SHOWN_PREFIXES = (("M", 1e6), ("k", 1e3), ("", 1.0), ("m", 1e-3), ("\u00b5", 1e-6), ("n", 1e-9), ("p", 1e-12))


def show(value: float, unit: str, digits: int = 4) -> str:
    """A value as a person reads it: `show(0.0175, "A")` is `17.50 mA`.

    unit: an SI symbol as `Dimension.si` gives it; temperature in K is shown in °C, a ratio in %.
    """
    if unit == "K":
        return f"{value - 273.15:.1f} °C"
    if unit == "1":
        return f"{value * 100:.{digits}g} %"
    if unit == "T":
        return f"{value:.3f} T"
    if unit == "m":
        return f"{value * 1e3:.{digits}g} mm"
    if value == 0 or not math.isfinite(value):
        return f"{value:g} {unit}"
    if unit == "kg":
        value, unit = value * 1e3, "g"
    elif unit == "m2":
        value, unit = value * 1e4, "cm2"
    # Rounding first: 999.96 mA shown with four digits is 1.000 A.
    rounded = float(f"{value:.{digits - 1}e}")
    prefixes = [one for one in _SHOWN_PREFIXES if not one[0] or one[0] + unit in UNITS]
    prefix, factor = next((one for one in prefixes if abs(rounded) >= one[1] * 0.9999999), prefixes[-1])
    scaled = rounded / factor
    places = max(0, digits - 1 - math.floor(math.log10(abs(scaled)))) if scaled else 0
    return f"{scaled:.{places}f} {prefix}{unit}"
