"""A calibrated meter's own accuracy in the place of its profile's, by range and frequency."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from drivers.accuracy import Accuracy
from drivers.errors import ProfileError
from drivers.meter_profile import MeterProfile, MeterRange
from drivers.reading import Quantity

__all__ = ["CalibratedAccuracy", "with_calibration"]

_SAME = 1e-3
_WITHOUT_FREQUENCY = (
    Quantity.VOLTAGE_DC,
    Quantity.CURRENT_DC,
    Quantity.RESISTANCE,
    Quantity.RESISTANCE_4W,
    Quantity.FREQUENCY,
)


@dataclass(frozen=True, slots=True)
class CalibratedAccuracy:
    """What a certificate says of one quantity.

    full_scale: of the range, SI, None for every range;  from_hertz, to_hertz: the band, None where it has no end.
    """

    quantity: Quantity
    accuracy: Accuracy
    full_scale: float | None = None
    from_hertz: float | None = None
    to_hertz: float | None = None

    def holds_at(self, hertz: float | None) -> bool:
        """Whether it holds at a frequency; where the frequency is not known, only what has no band does."""
        if self.quantity in _WITHOUT_FREQUENCY:
            return True
        if hertz is None:
            return self.from_hertz is None and self.to_hertz is None
        return (self.from_hertz or 0.0) <= hertz and (self.to_hertz is None or hertz <= self.to_hertz)


def with_calibration(
    profile: MeterProfile, calibrated: Sequence[CalibratedAccuracy], hertz: float | None
) -> MeterProfile:
    """The profile with the accuracies that hold at `hertz`; of two that hold, the one for a range goes before the one
    for all, then the later one.  Raises ProfileError for a quantity or a range that the profile does not have."""
    functions = dict(profile.functions)
    for one in sorted(calibrated, key=lambda each: each.full_scale is not None):
        function = functions.get(one.quantity)
        if function is None:
            offered = ", ".join(functions)
            raise ProfileError(f"calibration: {one.quantity} is not read by {profile.name}; it reads {offered}")
        hits = [each for each in function.ranges if _is(each, one.full_scale)]
        if not hits:
            scales = ", ".join(f"{each.full_scale:g}" for each in function.ranges)
            raise ProfileError(
                f"calibration: {one.quantity} has no range of {one.full_scale:g} {one.quantity.unit}, expected one of "
                f"{scales}"
            )
        if one.holds_at(hertz):
            ranges = tuple(
                replace(each, accuracy=one.accuracy, bands=()) if each in hits else each for each in function.ranges
            )
            functions[one.quantity] = replace(function, ranges=ranges)
    return replace(profile, functions=functions)


def _calibrated(here: MeterRange, accuracy: Accuracy) -> MeterRange:
    """One band was chosen already, so the profile's have no say any more."""
    return replace(here, accuracy=accuracy, bands=())


def _is(here: MeterRange, full_scale: float | None) -> bool:
    return full_scale is None or abs(here.full_scale - full_scale) <= _SAME * full_scale
