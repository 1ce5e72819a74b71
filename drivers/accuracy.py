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
    (JCGM 100:2008, 4.3.7). Gain and offset are kept apart, as two causes that know nothing of each other, so that the
    gain cancels in a ratio. The example of 4.3.7 adds the two into one limit first: where both weigh the same its u is
    the root of two larger than ours, where one of them outweighs the other it is nearly the same.
    """

    percent_of_reading: float
    percent_of_range: float = 0.0
    counts: float = 0.0

    def __post_init__(self) -> None:
        for name in ("percent_of_reading", "percent_of_range", "counts"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise ProfileError(f"accuracy: {name} is {value!r}, expected a number of 0 or more")

    def limit(self, value: float, *, resolution: float, span: float | None) -> float:
        """The largest error that is promised, all its parts the same way; the rounding of the display is not in it.

        value, resolution (one count), span (full scale, None where unknown) and the result in SI. Raises ProfileError
        when percent of range is stated and the range is not known.
        """
        return self._gain * abs(value) + self._offset(resolution, span, "a reading")

    def components(
        self, value: float, *, resolution: float, span: float | None, shared: str, own: str
    ) -> tuple[Component, ...]:
        """Gain, offset and resolution of one reading.

        value, resolution (one count) and span (full scale, None where unknown) in SI. `shared` names
        the meter, function and range: readings under the same name share their gain and their offset.
        `own` names this reading alone, for its rounding. Raises ProfileError when percent of range is
        stated and the range is not known.
        """
        offset = self._offset(resolution, span, shared)
        return (
            Component(f"{shared}:gain", self._gain / _RECTANGULAR, value),
            Component(f"{shared}:offset", offset / _RECTANGULAR),
            Component(f"{own}:resolution", resolution / 2.0 / _RECTANGULAR),
        )

    @property
    def _gain(self) -> float:
        return self.percent_of_reading / 100.0

    def _offset(self, resolution: float, span: float | None, of: str) -> float:
        if self.percent_of_range and span is None:
            raise ProfileError(f"accuracy of {of}: percent of range needs the range, expected counts")
        return self.percent_of_range / 100.0 * (span or 0.0) + self.counts * resolution
