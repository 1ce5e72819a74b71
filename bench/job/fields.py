"""Field types of the files that people write: text with a unit outside, an SI float inside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetJsonSchemaHandler

from bench.quantities import Dimension, QuantityError, Typed, parse, parse_typed, show, written_pattern

__all__ = [
    "Amps",
    "AnyHertz",
    "Count",
    "Farads",
    "Fraction",
    "Henries",
    "Hertz",
    "Kelvin",
    "Kilograms",
    "Metres",
    "Model",
    "Ohms",
    "SignedRatio",
    "Tesla",
    "TypedAmps",
    "TypedOhms",
    "TypedVolts",
    "VoltAmperes",
    "Volts",
    "Watts",
]


class Model(BaseModel):
    """A value read from a file: frozen, made whole at the edge, with no key that it doesn't know."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


def _quantity(dimension: Dimension) -> BeforeValidator:
    def read(value: Any) -> float:
        if isinstance(value, str):
            try:
                return parse(value, dimension)
            except QuantityError as error:
                raise ValueError(str(error)) from None
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise ValueError(f"expected a {dimension.words} such as {dimension.example!r}")
        raise ValueError(f"{value} has no unit, expected a {dimension.words} such as {dimension.example!r}")

    return BeforeValidator(read)


def _typed(dimension: Dimension, most: float) -> BeforeValidator:
    """A reading as it was written down: its digits tell how finely it was read."""

    def read(value: Any) -> Typed:
        if isinstance(value, Typed):
            return value
        if not isinstance(value, str):
            raise ValueError(f"expected a {dimension.words} such as {dimension.example!r}")
        try:
            typed = parse_typed(value, dimension)
        except QuantityError as error:
            raise ValueError(str(error)) from None
        if not 0 < typed.value <= most:
            raise ValueError(f"{value!r}, expected more than 0 and at most {most:g} {dimension.si}")
        return typed

    return BeforeValidator(read)


@dataclass(frozen=True)
class _Written:
    """Tells an editor how the quantity is written: as text with a unit, and within what."""

    dimension: Dimension
    most: float | None = None

    def __get_pydantic_json_schema__(self, core: Any, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        bounds = handler(core) if self.most is None else {"exclusiveMinimum": 0, "maximum": self.most}
        return _as_written(self.dimension, bounds)


def _as_written(dimension: Dimension, bounds: dict[str, Any]) -> dict[str, Any]:
    """JSON Schema of a quantity as text, its bounds [SI] in words: a pattern can't hold them."""
    said = []
    # Before a validator of ours some pydantics leave the bounds under their own names.
    named = {"exclusiveMinimum": "more than", "gt": "more than", "minimum": "at least", "ge": "at least"}
    for key, words in {**named, "maximum": "at most", "le": "at most"}.items():
        if key in bounds:
            said.append(f"{words} {_bound(float(bounds[key]), dimension.si)}")
    return {
        "type": "string",
        "pattern": written_pattern(dimension),
        "maxLength": 80,
        "description": f"In quotes, with its unit, such as {dimension.example!r}; {', '.join(said)}.",
        "examples": [dimension.example],
        "x-dimension": dimension.name,
    }


def _bound(value: float, si: str) -> str:
    if value == 0:
        return "0"
    return show(value, si) if si in ("K", "1") else f"{value:g} {si}"


# Strict: text in quotes is no number of turns.
Count = Annotated[int, Field(strict=True, gt=0, le=100_000)]
# The upper bounds are what a transformer on a bench can't exceed: they catch a slipped prefix, no more.
Volts = Annotated[float, _quantity(Dimension.VOLTAGE), Field(gt=0, le=20e3), _Written(Dimension.VOLTAGE)]
Amps = Annotated[float, _quantity(Dimension.CURRENT), Field(gt=0, le=1e3), _Written(Dimension.CURRENT)]
Ohms = Annotated[float, _quantity(Dimension.RESISTANCE), Field(gt=0, le=1e12), _Written(Dimension.RESISTANCE)]
AnyHertz = Annotated[float, _quantity(Dimension.FREQUENCY), Field(gt=0, le=1e9), _Written(Dimension.FREQUENCY)]
Hertz = Annotated[float, _quantity(Dimension.FREQUENCY), Field(ge=10, le=1000), _Written(Dimension.FREQUENCY)]
Metres = Annotated[float, _quantity(Dimension.LENGTH), Field(gt=0, le=2), _Written(Dimension.LENGTH)]
Tesla = Annotated[float, _quantity(Dimension.FLUX_DENSITY), Field(gt=0, le=2.2), _Written(Dimension.FLUX_DENSITY)]
Watts = Annotated[float, _quantity(Dimension.POWER), Field(gt=0, le=1e5), _Written(Dimension.POWER)]
Kilograms = Annotated[float, _quantity(Dimension.MASS), Field(gt=0, le=200), _Written(Dimension.MASS)]
Kelvin = Annotated[
    float, _quantity(Dimension.TEMPERATURE), Field(ge=233.15, le=573.15), _Written(Dimension.TEMPERATURE)
]
Fraction = Annotated[float, _quantity(Dimension.RATIO), Field(ge=0, le=1), _Written(Dimension.RATIO)]
SignedRatio = Annotated[float, _quantity(Dimension.RATIO), Field(ge=-1, le=1), _Written(Dimension.RATIO)]
Farads = Annotated[float, _quantity(Dimension.CAPACITANCE), Field(gt=0, le=1), _Written(Dimension.CAPACITANCE)]
Henries = Annotated[float, _quantity(Dimension.INDUCTANCE), Field(gt=0, le=1e4), _Written(Dimension.INDUCTANCE)]
VoltAmperes = Annotated[
    float, _quantity(Dimension.APPARENT_POWER), Field(gt=0, le=1e5), _Written(Dimension.APPARENT_POWER)
]
TypedVolts = Annotated[Typed, _typed(Dimension.VOLTAGE, 20e3), _Written(Dimension.VOLTAGE, 20e3)]
TypedAmps = Annotated[Typed, _typed(Dimension.CURRENT, 1e3), _Written(Dimension.CURRENT, 1e3)]
TypedOhms = Annotated[Typed, _typed(Dimension.RESISTANCE, 1e12), _Written(Dimension.RESISTANCE, 1e12)]
