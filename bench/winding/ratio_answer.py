"""What the volts of a trial say, as values for words and record."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.winding.check_values import Conclusion, Counted, Explanation, Says

__all__ = ["CHECK", "Polarity", "RatioAnswer", "RatioOf"]

CHECK = "volts"
"""What the body of such a check is called in the record."""


@dataclass(frozen=True)
class RatioOf:
    """Turns of one winding or section by its volts.

    of: whose turns;  by: from whose turns they follow, the fed winding, a coil or winding of known turns, or the whole
    of which `of` is a section;  volts, base_volts: read on either;  due [V]: on `of` for the counts;  sees [turns]: the
    miscount that would show.
    """

    of: str
    by: str
    volts: float
    base_volts: float
    due: float
    counted: Counted
    says: Says
    sees: float
    conclusion: Conclusion
    causes: tuple[Explanation, ...]

    def as_body(self) -> dict[str, Any]:
        return {
            "of": self.of,
            "by": self.by,
            "volts": self.volts,
            "base_volts": self.base_volts,
            "due": self.due,
            "count": self.counted.as_body(),
            "says": self.says.as_body(),
            "sees": self.sees if math.isfinite(self.sees) else None,
            "conclusion": self.conclusion.value,
            "causes": [one.as_body() for one in self.causes],
        }


@dataclass(frozen=True)
class Polarity:
    """volts: across the two in series;  aiding, bucking [V]: what it would be either way;  due: +1 aiding, -1 bucking,
    by the senses in the job;  found: as read, None where the volts do not tell."""

    volts: float
    aiding: float
    bucking: float
    due: int
    found: int | None

    @property
    def conclusion(self) -> Conclusion:
        if self.found is None:
            return Conclusion.CANT_TELL
        return Conclusion.AGREES if self.found == self.due else Conclusion.DISAGREES

    def as_body(self) -> dict[str, Any]:
        return {
            "volts": self.volts,
            "aiding": self.aiding,
            "bucking": self.bucking,
            "due": self.due,
            "found": self.found,
            "conclusion": self.conclusion.value,
        }


@dataclass(frozen=True)
class RatioAnswer:
    """What the volts of a trial say.

    after: the winding just wound;  fed, fed_counted, fed_volts;  highest [V]: on any terminal that is on, at those
    volts;  of: each reading;  conclusion: the worst of them;  cautions: those of the step.
    """

    after: str
    fed: str
    fed_counted: Counted
    fed_volts: float
    highest: float
    of: tuple[RatioOf, ...]
    polarity: Polarity | None
    conclusion: Conclusion
    cautions: tuple[str, ...]

    def as_body(self) -> dict[str, Any]:
        """For the record."""
        return {
            "check": CHECK,
            "winding": self.after,
            "fed": self.fed,
            "fed_count": self.fed_counted.as_body(),
            "fed_volts": self.fed_volts,
            "highest": self.highest,
            "of": [one.as_body() for one in self.of],
            "polarity": None if self.polarity is None else self.polarity.as_body(),
            "conclusion": self.conclusion.value,
        }
