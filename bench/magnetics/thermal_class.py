"""What a letter for a class of insulation allows, and by which standard."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bench.magnetics.copper import at_temperature

__all__ = ["ThermalClass", "thermal_class"]

_KELVIN = 273.15


@dataclass(frozen=True)
class ThermalClass:
    """One letter in one standard.

    limit: kelvin of rise where `kind` is "mean rise", otherwise degC; what: the thing that is limited, in words;
    source: where the figure is from; memory: recalled and not read, to be shown as such.
    """

    letter: str
    standard: str
    kind: str
    limit: float
    what: str
    source: str
    memory: bool

    def rise_allowed(self, ambient: float) -> float:
        """Rise [K] of a winding, by resistance, that the limit leaves over an ambient [K].

        Raises ValueError for a limit of the insulation itself, which says nothing of a mean: the hottest spot counts
        there, and how far that is above the mean no table of classes tells.
        """
        match self.kind:
            case "mean rise":
                return self.limit
            case "winding temperature":
                return self.limit + _KELVIN - ambient
            case _:
                raise ValueError(f"{self.standard} limits {self.kind}, from which no rise of a winding follows")

    def resistance_ratio(self, ambient: float, cold_temperature: float) -> float:
        """Hot resistance over cold at which a copper winding is at its limit; both temperatures in K.

        Raises ValueError as `rise_allowed` does, and off the line of copper (zero at -234.5 degC).
        """
        return at_temperature(1.0, cold_temperature, ambient + self.rise_allowed(ambient))


def thermal_class(table: Mapping[str, Any], standard: str, letter: str) -> ThermalClass:
    """A letter of one standard, from a table as profiles/limits/insulation-classes.toml holds them.

    Raises ValueError for a standard or a letter that the table has not, with those that it has.
    """
    standards: Mapping[str, Any] = table["standard"]
    if standard not in standards:
        raise ValueError(f"{standard!r} is not among the standards, expected one of {', '.join(standards)}")
    rules = standards[standard]
    if letter not in rules["class"]:
        raise ValueError(f"{standard} has no class {letter!r}, expected one of {', '.join(rules['class'])}")
    return ThermalClass(
        letter=letter,
        standard=standard,
        kind=str(rules["kind"]),
        limit=float(rules["class"][letter]),
        what=str(rules["what"]),
        source=str(rules["source"]),
        memory=bool(rules["memory"]),
    )
