"""What the maker of a meter promises, turned into the named components of a reading's doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drivers.errors import ProfileError
from drivers.reading import Component

__all__ = ["Accuracy"]

_RECTANGULAR = math.sqrt(3.0)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """A stated limit of error: percent of reading + percent of range + counts of the last digit.

    The stated limits are taken as half widths of rectangular distributions, u = limit / sqrt(3)
    (JCGM 100:2008, 4.3.7).
    """

    percent_of_reading: float
    percent_of_range: float = 0.0
    counts: float = 0.0

    def __post_init__(self) -> None:
        for name in ("percent_of_reading", "percent_of_range", "counts"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise ProfileError(f"accuracy: {name} is {value!r}, expected a number of 0 or more")

    def components(
        self, value: float, *, resolution: float, span: float | None, shared: str, own: str
    ) -> tuple[Component, ...]:
        """Gain, offset and resolution of one reading.

        value, resolution (one count) and span (full scale, None where unknown) in SI. `shared` names
        the meter, function and range: readings under the same name share their gain and their offset.
        `own` names this reading alone, for its rounding. Raises ProfileError when percent of range is
        stated and the range is not known.
        """
        if self.percent_of_range and span is None:
            raise ProfileError(f"accuracy of {shared}: percent of range needs the range, expected counts")
        offset = self.percent_of_range / 100.0 * (span or 0.0) + self.counts * resolution
        return (
            Component(f"{shared}:gain", self.percent_of_reading / 100.0 / _RECTANGULAR, value),
            Component(f"{shared}:offset", offset / _RECTANGULAR),
            Component(f"{own}:resolution", resolution / 2.0 / _RECTANGULAR),
        )
