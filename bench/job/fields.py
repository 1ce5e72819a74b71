"""Field types of the files that people write: text with a unit outside, an SI float inside."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from bench.quantities import Dimension, QuantityError, Typed, parse, parse_typed

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


# Strict: text in quotes is no number of turns.
Count = Annotated[int, Field(strict=True, gt=0, le=100_000)]
# The upper bounds are what a transformer on a bench can't exceed: they catch a slipped prefix, no more.
Volts = Annotated[float, _quantity(Dimension.VOLTAGE), Field(gt=0, le=20e3)]
Amps = Annotated[float, _quantity(Dimension.CURRENT), Field(gt=0, le=1e3)]
Ohms = Annotated[float, _quantity(Dimension.RESISTANCE), Field(gt=0, le=1e12)]
AnyHertz = Annotated[float, _quantity(Dimension.FREQUENCY), Field(gt=0, le=1e9)]
Hertz = Annotated[float, _quantity(Dimension.FREQUENCY), Field(ge=10, le=1000)]
Metres = Annotated[float, _quantity(Dimension.LENGTH), Field(gt=0, le=2)]
Tesla = Annotated[float, _quantity(Dimension.FLUX_DENSITY), Field(gt=0, le=2.2)]
Watts = Annotated[float, _quantity(Dimension.POWER), Field(gt=0, le=1e5)]
Kilograms = Annotated[float, _quantity(Dimension.MASS), Field(gt=0, le=200)]
Kelvin = Annotated[float, _quantity(Dimension.TEMPERATURE), Field(ge=233.15, le=573.15)]
Fraction = Annotated[float, _quantity(Dimension.RATIO), Field(ge=0, le=1)]
SignedRatio = Annotated[float, _quantity(Dimension.RATIO), Field(ge=-1, le=1)]
Farads = Annotated[float, _quantity(Dimension.CAPACITANCE), Field(gt=0, le=1)]
Henries = Annotated[float, _quantity(Dimension.INDUCTANCE), Field(gt=0, le=1e4)]
VoltAmperes = Annotated[float, _quantity(Dimension.APPARENT_POWER), Field(gt=0, le=1e5)]
TypedVolts = Annotated[Typed, _typed(Dimension.VOLTAGE, 20e3)]
TypedAmps = Annotated[Typed, _typed(Dimension.CURRENT, 1e3)]
TypedOhms = Annotated[Typed, _typed(Dimension.RESISTANCE, 1e12)]
