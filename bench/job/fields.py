"""Field types of the files that people write: text with a unit outside, an SI float inside."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from bench.quantities import Dimension, QuantityError, parse

__all__ = [
    "Amps",
    "Count",
    "Fraction",
    "Hertz",
    "Kelvin",
    "Kilograms",
    "Metres",
    "Model",
    "Ohms",
    "SignedRatio",
    "Tesla",
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


# Strict: text in quotes is no number of turns.
Count = Annotated[int, Field(strict=True, gt=0, le=100_000)]
# The upper bounds are what a transformer on a bench can't exceed: they catch a slipped prefix, no more.
Volts = Annotated[float, _quantity(Dimension.VOLTAGE), Field(gt=0, le=20e3)]
Amps = Annotated[float, _quantity(Dimension.CURRENT), Field(gt=0, le=1e3)]
Ohms = Annotated[float, _quantity(Dimension.RESISTANCE), Field(gt=0, le=1e12)]
Hertz = Annotated[float, _quantity(Dimension.FREQUENCY), Field(ge=10, le=1000)]
Metres = Annotated[float, _quantity(Dimension.LENGTH), Field(gt=0, le=2)]
Tesla = Annotated[float, _quantity(Dimension.FLUX_DENSITY), Field(gt=0, le=2.2)]
Watts = Annotated[float, _quantity(Dimension.POWER), Field(gt=0, le=1e5)]
Kilograms = Annotated[float, _quantity(Dimension.MASS), Field(gt=0, le=200)]
Kelvin = Annotated[float, _quantity(Dimension.TEMPERATURE), Field(ge=233.15, le=573.15)]
Fraction = Annotated[float, _quantity(Dimension.RATIO), Field(ge=0, le=1)]
SignedRatio = Annotated[float, _quantity(Dimension.RATIO), Field(ge=-1, le=1)]
