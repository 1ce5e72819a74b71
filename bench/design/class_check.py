"""Whether the rise on load leaves the insulation within the class that the job asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from bench.design.rise_on_load import AMBIENT, RiseOnLoad
from bench.job.profiles import load_table
from bench.magnetics.thermal_class import ThermalClass, thermal_class

__all__ = ["STANDARD", "ClassCheck", "Standing", "class_check"]

STANDARD = "IEC 60076-11"
"""The table in profiles/limits/insulation-classes.toml that a design is searched within and its rise is held against.

Mean rises of dry windings, which were read; that of IEC 61558-1 for small units is from memory only, and not stricter.
"""


class Standing(StrEnum):
    """How a rise stands to what its class allows, with two standard uncertainties."""

    WITHIN = "within it"
    IN_DOUBT = "it may be over it"
    OVER = "over it"


@dataclass(frozen=True)
class ClassCheck:
    """The class that the job asks for;  allowed [K]: rise of a winding by resistance over AMBIENT;  hottest: the supply
    at which the unit gets warmest."""

    limit: ThermalClass
    allowed: float
    hottest: RiseOnLoad

    @property
    def standing(self) -> Standing:
        if self.hottest.rise - 2 * self.hottest.u > self.allowed:
            return Standing.OVER
        return Standing.IN_DOUBT if self.hottest.rise + 2 * self.hottest.u > self.allowed else Standing.WITHIN

    @property
    def sentence(self) -> str:
        memory = " (from memory, check your copy)" if self.limit.memory else ""
        rise = f"{self.hottest.rise:.0f} ± {2 * self.hottest.u:.0f} K"
        if self.hottest.beyond:
            rise = "more than the rule reaches" if math.isinf(self.hottest.rise) else "less than the rule reaches"
        return (
            f"class {self.limit.letter} by {self.limit.standard}{memory} allows a rise of "
            f"{self.allowed:.0f} K over {AMBIENT - 273.15:g} °C; at {self.hottest.at} it is {rise}: {self.standing}"
        )

    def as_json(self) -> dict[str, str | float | bool | None]:
        rise = self.hottest.rise
        return {
            "class": self.limit.letter,
            "standard": self.limit.standard,
            "from_memory": self.limit.memory,
            "allowed": self.allowed,
            "at": self.hottest.at,
            "rise": rise if math.isfinite(rise) else None,
            "u": self.hottest.u,
            "standing": str(self.standing),
        }


def class_check(letter: str, rises: Sequence[RiseOnLoad]) -> ClassCheck | None:
    """The warmest of `rises` against a class of insulation; None without a letter or a rise.

    The rise is a mean, as is what the standard limits: by resistance.
    """
    if not letter or not rises:
        return None
    limit = thermal_class(load_table("limits", "insulation-classes"), STANDARD, letter)
    # Of supplies that all burn it, the highest.
    return ClassCheck(limit, limit.rise_allowed(AMBIENT), max(reversed(rises), key=lambda one: one.rise))
