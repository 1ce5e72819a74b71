"""How one quantity is selected on a meter, proved, read, and how good each of its ranges is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drivers.accuracy import Accuracy
from drivers.errors import Unsupported
from drivers.line_pattern import LinePattern
from drivers.reading import Quantity
from drivers.scpi import build_command, parse_number

__all__ = ["Band", "Check", "MeterFunction", "MeterRange", "Response", "Taking", "at_mains"]

_SAME_RANGE = 1e-3
_UP_AT = (
    0.9  # of full scale, where a meter that ranges itself may already be a range higher; common practice, no source
)
_MAINS = (50.0, 60.0)
_BEYOND = 10.0  # times the largest range: no meter shows so much more, and a profile's ranges may be a decade short


class Response(StrEnum):
    """What an alternating function responds to; a peaky current reads wrong on a mean-responding meter."""

    TRUE_RMS = "true rms"
    MEAN = "mean"
    NONE = "none"


class Taking(StrEnum):
    """Whether an answer is a new reading, or the one on the display, which may be the old one again."""

    TRIGGERED = "triggered"
    DISPLAYED = "displayed"


@dataclass(frozen=True, slots=True)
class Band:
    """An accuracy that holds from one frequency to another, Hz, both included."""

    from_hz: float
    to_hz: float
    accuracy: Accuracy


@dataclass(frozen=True, slots=True)
class MeterRange:
    """One range. full_scale, resolution (one count) and noise (standard deviation of one reading) in SI.

    accuracy: at mains frequency. bands: by frequency, where it depends on it. word: what stands for this range in a
    command, the full scale as a plain number where it is None. shown: how the meter names it when asked; where it is
    None, by `word`, or by its full scale where `word` is no number. test_current: what an ohmmeter sends through the
    resistance on this range [A]; None where nobody says.
    """

    full_scale: float
    resolution: float
    noise: float
    accuracy: Accuracy
    bands: tuple[Band, ...] = ()
    word: str | None = None
    shown: str | None = None
    test_current: float | None = None

    def accuracy_at(self, frequency: float) -> Accuracy:
        """The accuracy at a frequency, Hz; raises Unsupported where none is stated."""
        if not self.bands:
            return self.accuracy
        for band in self.bands:
            if band.from_hz <= frequency <= band.to_hz:
                return band.accuracy
        stated = ", ".join(f"{band.from_hz:g} to {band.to_hz:g} Hz" for band in self.bands)
        raise Unsupported(f"no accuracy is stated at {frequency:g} Hz, only at {stated}")

    def fill(self, template: str) -> str:
        """The message with this range in the place of `{range}`."""
        if self.word is None or "{range}" not in template:
            return build_command(template, self.full_scale)
        return template.replace("{range}", self.word)

    def is_named(self, said: str) -> bool:
        """Whether the meter means this range."""
        said = said.strip()
        name = self.shown if self.shown is not None else self.word
        if said == name:
            return True
        number = parse_number(said)
        named = parse_number(name) if name is not None else None
        if named is None and self.shown is None:  # no number stands for it: the meter may say its full scale
            named = self.full_scale
        return number is not None and named is not None and math.isclose(number, named, rel_tol=_SAME_RANGE)


@dataclass(frozen=True, slots=True)
class Check:
    """A query, and what it answers in full where the selection has been taken; the group `range`, where the pattern
    has one, is the range as the meter names it."""

    query: str
    pattern: LinePattern

    def confirms(self, text: str, here: MeterRange) -> bool:
        match = self.pattern.fullmatch(text)
        if match is None:
            return False
        return "range" not in self.pattern.groupindex or here.is_named(match["range"] or "")


@dataclass(frozen=True, slots=True)
class MeterFunction:
    """How one quantity is selected and read.

    select, filters: messages that set function and range, and then the filter; none where it is set by hand.
    verify: what proves the selection. settle_s: wait after a selection. discard: readings thrown away then.
    arm: message before each `read`. response_s: deadline of an answer, where it differs from the profile's.
    refresh_s: time between two readings on the display, of a meter that only gives what it displays.
    units: texts that may stand behind the number, with their factor to SI.
    crest_factor_max: the largest that is measured within the accuracy; crest_factor_full_scale: the same at full
    scale. lead_resistance: the most that the leads may add to a two-wire resistance, ohm.
    """

    quantity: Quantity
    select: tuple[str, ...]
    read: str
    ranges: tuple[MeterRange, ...]
    verify: tuple[Check, ...] = ()
    filters: tuple[str, ...] = ()
    arm: str | None = None
    settle_s: float = 0.0
    discard: int = 1
    response_s: float | None = None
    taking: Taking = Taking.TRIGGERED
    refresh_s: float = 0.0
    units: Mapping[str, float] = field(default_factory=dict)
    response: Response = Response.NONE
    crest_factor_max: float | None = None
    crest_factor_full_scale: float | None = None
    lead_resistance: float = 0.0

    @property
    def ranges_itself(self) -> bool:
        """No message names a range: the meter chooses, or a person at its dial."""
        return not any("{range}" in each for each in (*self.select, *self.filters, self.arm or "", self.read))

    def commands(self, here: MeterRange) -> tuple[str, ...]:
        """What is sent to select this function on that range."""
        return tuple(here.fill(each) for each in (*self.select, *self.filters))

    def range_for(self, expected: float | None) -> MeterRange:
        """The smallest range that holds `expected` (SI), the largest where it is None; raises Unsupported."""
        if expected is None:
            return self.ranges[-1]
        for each in self.ranges:
            if abs(expected) <= each.full_scale:
                return each
        raise Unsupported(
            f"{self.quantity}: {abs(expected):g} {self.quantity.unit} is beyond the largest range, "
            f"{self.ranges[-1].full_scale:g} {self.quantity.unit}"
        )

    def range_of(self, value: float) -> MeterRange:
        """The range that a meter which chooses by itself may have taken for `value` (SI): near full scale the larger
        one, whose doubt is the larger."""
        return next((each for each in self.ranges if abs(value) <= _UP_AT * each.full_scale), self.ranges[-1])

    def beyond(self, value: float) -> str | None:
        """Why `value` (SI) is no reading of this function, None where it may be one: meters say over range by a number,
        such as 1E9, that a profile may not know."""
        most = self.ranges[-1].full_scale
        if abs(value) <= _BEYOND * most:
            return None
        largest = f"the largest range, {most:g} {self.quantity.unit}"
        return f"{value:g} is far beyond {largest}, and no form of overload that the profile knows"

    def crest_factor_limit(self, value: float, here: MeterRange) -> float | None:
        """The largest crest factor that is measured within the accuracy at `value` (SI), None where it isn't stated.

        What a peak may be is a property of the range: full scale times the crest factor allowed there; below full
        scale the wave may be the peakier, up to `crest_factor_max` (from memory of the class).
        """
        if self.crest_factor_max is None or self.crest_factor_full_scale is None:
            return self.crest_factor_max
        if value == 0.0:
            return self.crest_factor_max
        return min(self.crest_factor_max, self.crest_factor_full_scale * here.full_scale / abs(value))


def at_mains(bands: tuple[Band, ...]) -> Accuracy | None:
    """The accuracy that holds at both mains frequencies; None where no band holds them."""
    least, most = _MAINS
    return next((band.accuracy for band in bands if band.from_hz <= least and most <= band.to_hz), None)
