"""Round winding wire by its size: what people call it, how thick it is, what stands beside it on the shelf."""

from __future__ import annotations

import math
import re
import tomllib
from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any

from pydantic import BeforeValidator, GetJsonSchemaHandler

from bench.job.fields import Model
from bench.job.profiles import load_table, table_text
from bench.quantities import Dimension, QuantityError, parse, written_pattern

__all__ = [
    "Wire",
    "WireSize",
    "awg_diameter",
    "conductor_tolerance",
    "minimum_increase",
    "nearest_size",
    "overall_diameter",
    "parse_wire",
    "size_steps",
    "swg_diameter",
]

THINNEST, THICKEST = 0.01e-3, 6e-3
"""Bare diameters [m] between which a wire is taken for one of a small transformer. Common practice, no source."""

_GAUGE = re.compile(r"\s*(\d{1,2})\s*(AWG|SWG)\s*\Z|\s*(AWG|SWG)\s*(\d{1,2})\s*\Z", re.IGNORECASE)
_SAME = 0.1e-6
"""Bare diameters [m] this close are one size: 30 SWG, 0.31496 mm, is the 0.315 mm of the table."""


class Wire(Model):
    """A round copper wire by its bare diameter d [m], with the name it was given."""

    name: str
    diameter: float


@dataclass(frozen=True)
class _Size:
    """A row of profiles/wires/iec.toml, in metres; pairs are grade 1 and grade 2."""

    diameter: float
    tolerance: float
    increase: tuple[float, float]
    overall: tuple[float, float]


def awg_diameter(gauge: float) -> float:
    """Bare diameter [m] of an American gauge number, -3 (0000) to 50.

    d = 0.127 mm * 92^((36 - n) / 39).  Source: ASTM B258, formula recalled; its two end points,
    36 AWG = 0.005 in and 0000 AWG = 0.46 in, are the definition.
    """
    if not -3 <= gauge <= 50:
        raise ValueError(f"{gauge:g} AWG is no wire size, expected 0 to 50 AWG")
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def swg_diameter(gauge: int) -> float:
    """Bare diameter [m] of a British standard wire gauge number, from the table in profiles/wires/swg.toml."""
    sizes: dict[str, float] = load_table("wires", "swg")["diameter_mm"]
    try:
        return sizes[str(gauge)] * 1e-3
    except KeyError:
        raise ValueError(
            f"{gauge} SWG is no wire size, expected {min(sizes, key=int)} to {max(sizes, key=int)} SWG"
        ) from None


def overall_diameter(diameter: float, grade: int) -> float:
    """Largest diameter [m] over the enamel of wire of bare diameter d [m], enamel grade 1 or 2, d 0.01 to 6 mm.

    0.071 to 2 mm: the table of IEC 60317-0-1 in profiles/wires/iec.toml. A size between two of the table has the
    increase of the next larger one: so the SWG sizes of IS 13730-0-1 are made, 15 of 16 published values to the last
    digit, and finer sizes up to 0.002 mm less; a line between the neighbours would be up to 0.005 mm off.
    Thinner: the increase of 0.071 mm x sqrt(d / 0.071 mm), within 0.0012 mm of IS 13730-0-1 at 0.05, 0.056 and
    0.063 mm.  Thicker: that of 2 mm x (d / 2 mm)^(1/4), from memory of the table, 2.24 to 5 mm.
    Raises ValueError.
    """
    if not THINNEST <= diameter <= THICKEST:
        raise ValueError(f"{diameter * 1e3:.6g} mm bare: no enamel is known, expected 0.01 mm to 6 mm")
    which = _grade_index(grade)
    sizes = _iec_sizes()
    thinnest, thickest = sizes[0], sizes[-1]
    if diameter < thinnest.diameter - _SAME:
        return diameter + _max_increase(thinnest, which) * math.sqrt(diameter / thinnest.diameter)
    if diameter > thickest.diameter + _SAME:
        return diameter + _max_increase(thickest, which) * math.sqrt(math.sqrt(diameter / thickest.diameter))
    size = _size_at_least(diameter)
    if math.isclose(size.diameter, diameter, rel_tol=0.0, abs_tol=_SAME):
        return size.overall[which]
    return diameter + _max_increase(size, which)


def minimum_increase(diameter: float, grade: int) -> float:
    """Least that enamel of grade 1 or 2 adds to a bare diameter d [m] of 0.071 to 2 mm, [m].

    Between two sizes that of the next larger one.  Source: IEC 60317-0-1, profiles/wires/iec.toml.  Raises ValueError.
    """
    which = _grade_index(grade)
    _within_table(diameter)
    return _size_at_least(diameter).increase[which]


def conductor_tolerance(diameter: float) -> float:
    """Tolerance [m], plus or minus, of a bare diameter d [m] of 0.071 to 6 mm.

    To 0.63 mm the table of IEC 60317-0-1 in profiles/wires/iec.toml, between two sizes that of the next larger one;
    above 1 % of d, which the table rounds to 0.001 mm.  Thinner wire the standard limits by its ohms per metre.
    Raises ValueError.
    """
    sizes = _iec_sizes()
    if not sizes[0].diameter - _SAME <= diameter <= THICKEST:
        raise ValueError(f"{diameter * 1e3:.6g} mm bare: no tolerance is known, expected 0.071 mm to 6 mm")
    if diameter > sizes[-1].diameter + _SAME:
        return 0.01 * diameter
    size = _size_at_least(diameter)
    exact = math.isclose(size.diameter, diameter, rel_tol=0.0, abs_tol=_SAME)
    return size.tolerance if exact or size.diameter < 0.631e-3 else 0.01 * diameter


def nearest_size(diameter: float) -> Wire:
    """The preferred IEC size whose bare diameter is nearest by ratio to d [m], 0.067 to 2.12 mm; raises ValueError."""
    sizes = _iec_sizes()
    # Half a step of the series beyond either end: further out the table has no neighbour to choose from.
    low, high = sizes[0].diameter / 1.06, sizes[-1].diameter * 1.06
    if not low <= diameter <= high:
        raise ValueError(
            f"{diameter * 1e3:.6g} mm has no size near it, expected {low * 1e3:.2g} mm to {high * 1e3:.3g} mm"
        )
    return _millimetre_wire(min((size.diameter for size in sizes), key=lambda d: abs(math.log(d / diameter))))


def size_steps(wire: Wire, steps: int) -> Wire:
    """The wire `steps` sizes thicker (negative: thinner) in the series in which `wire` was named.

    American and British gauges by their numbers, millimetres by the preferred IEC sizes; from a diameter that is none
    of these the first step leads to the next one on that side. Raises ValueError at the end of a series.
    """
    if steps == 0:
        return wire
    match = _GAUGE.match(wire.name)
    if match is not None:
        number, system = _read_gauge(match)
        try:
            return _gauge_wire(number - steps, system)
        except ValueError:
            raise ValueError(f"{wire.name}: no size {steps:+d} steps away in {system}") from None
    diameters = [size.diameter for size in _iec_sizes()]
    above = bisect_left(diameters, wire.diameter - _SAME)
    listed = above < len(diameters) and math.isclose(diameters[above], wire.diameter, rel_tol=0.0, abs_tol=_SAME)
    index = above + steps - (0 if listed or steps < 0 else 1)
    if not 0 <= index < len(diameters):
        raise ValueError(f"{wire.name}: no size {steps:+d} steps away, the table has 0.071 mm to 2 mm")
    return _millimetre_wire(diameters[index])


def parse_wire(text: str) -> Wire:
    """A wire from `0.4 mm`, `26 AWG` or `24 SWG`; raises ValueError with what was expected."""
    match = _GAUGE.match(text)
    if match is not None:
        return _gauge_wire(*_read_gauge(match))
    try:
        diameter = parse(text, Dimension.LENGTH)
    except QuantityError:
        raise ValueError(f"{text!r} is no wire size, expected such as '0.4 mm', '26 AWG' or '24 SWG'") from None
    if not THINNEST <= diameter <= THICKEST:
        raise ValueError(f"{text!r} is no wire for a small transformer, expected 0.01 mm to 6 mm bare")
    return _millimetre_wire(diameter)


def _read_gauge(match: re.Match[str]) -> tuple[int, str]:
    return int(match.group(1) or match.group(4)), (match.group(2) or match.group(3)).upper()


def _gauge_wire(number: int, system: str) -> Wire:
    diameter = awg_diameter(number) if system == "AWG" else swg_diameter(number)
    if diameter > THICKEST:
        raise ValueError(f"{number} {system} is no wire for a small transformer, expected 0.01 mm to 6 mm bare")
    return Wire(name=f"{number} {system}", diameter=diameter)


def _millimetre_wire(diameter: float) -> Wire:
    return Wire(name=f"{diameter * 1e3:.6g} mm", diameter=diameter)


def _grade_index(grade: int) -> int:
    if grade not in (1, 2):
        raise ValueError(f"enamel grade {grade}, expected 1 or 2")
    return grade - 1


def _iec_sizes() -> tuple[_Size, ...]:
    return _sizes_in(table_text("wires", "iec"))


@lru_cache(maxsize=2)
def _sizes_in(text: str) -> tuple[_Size, ...]:
    table = tomllib.loads(text)
    rows = [dict(zip(table["columns"], row, strict=True)) for row in table["size_mm"]]
    return tuple(
        _Size(
            diameter=row["diameter"] * 1e-3,
            tolerance=row["tolerance"] * 1e-3,
            increase=(row["increase_1"] * 1e-3, row["increase_2"] * 1e-3),
            overall=(row["overall_1"] * 1e-3, row["overall_2"] * 1e-3),
        )
        for row in rows
    )


def _within_table(diameter: float) -> None:
    low, high = _iec_sizes()[0].diameter, _iec_sizes()[-1].diameter
    if not low - _SAME <= diameter <= high + _SAME:
        raise ValueError(f"{diameter * 1e3:.6g} mm bare is outside the table, expected 0.071 mm to 2 mm")


def _size_at_least(diameter: float) -> _Size:
    sizes = _iec_sizes()
    return sizes[bisect_left([size.diameter for size in sizes], diameter - _SAME)]


def _max_increase(size: _Size, which: int) -> float:
    return size.overall[which] - size.diameter


def _read(value: Any) -> Any:
    if isinstance(value, Wire):
        return value
    if isinstance(value, str):
        return parse_wire(value)
    raise ValueError("expected a wire size such as '0.4 mm', '26 AWG' or '24 SWG'")


class _Written:
    """Tells an editor how a size of wire is written."""

    def __get_pydantic_json_schema__(self, core: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        gauge = "(?:[Aa][Ww][Gg]|[Ss][Ww][Gg])"
        return {
            "description": "A wire by its bare size, such as '0.4 mm', '26 AWG' or '24 SWG'.",
            "type": "string",
            "anyOf": [
                {"pattern": rf"^\s*(?:[0-9]{{1,2}}\s*{gauge}|{gauge}\s*[0-9]{{1,2}})\s*$"},
                {"pattern": written_pattern(Dimension.LENGTH)},
            ],
            "examples": ["0.4 mm", "26 AWG", "24 SWG"],
        }


WireSize = Annotated[Wire, BeforeValidator(_read), _Written()]
