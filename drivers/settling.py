"""Whether what a meter shows stands still: fed with its readings one by one, it says settled, not yet, or never."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from drivers.reading import State

__all__ = ["NeverSettles", "NotYet", "Outcome", "Settled", "Settling", "Still", "Unrest"]

_BAND = 4.3  # three readings of one value spread by more in 1 of 150 (range of three normals)
_AGREE = 3  # readings that agree, where only the meter's own noise moves them
_LONG = 8  # where the thing measured moves a little, or a contact has failed before
_KEPT = 64
_TREND = 3.5  # standard deviations from which a slope is one
_DRIFTS = 4.0
_LARGEST = 1e30  # of a reading, and of a time
_JUMP = 0.2  # of the value: no supply and no meter does that, a contact does


class Unrest(StrEnum):
    """Why a reading never settles."""

    DRIFTING = "drifting"
    HUNTING = "hunting"
    CONTACT = "contact"


@dataclass(frozen=True, slots=True)
class Still:
    """How still is still, SI.

    noise: standard deviation of one reading on this range;  resolution: one count;  drift: change per second that is
    let pass;  wobble: standard deviation that may remain when the thing measured is itself restless (a supply is);
    patience_s: after that it never will;  most: readings after which the same.
    """

    noise: float
    resolution: float
    drift: float = 0.0
    wobble: float = 0.0
    patience_s: float = 15.0
    most: int = 400

    def __post_init__(self) -> None:
        for name in ("noise", "resolution", "drift", "wobble", "patience_s"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"{name} is {value!r}, expected a number of 0 or more")
        if self.most < _LONG:
            raise ValueError(f"most is {self.most}, expected {_LONG} or more")


@dataclass(frozen=True, slots=True)
class NotYet:
    """Still settling, or nothing seen yet."""


@dataclass(frozen=True, slots=True)
class Settled:
    """state GOOD: the mean, with its standard uncertainty from the scatter; else an overload or no value that stays."""

    state: State
    value: float | None
    scatter: float
    readings: int


@dataclass(frozen=True, slots=True)
class NeverSettles:
    """Why not; per_second: slope where it drifts, SI/s; value, scatter: of the last good readings, None without any."""

    why: Unrest
    per_second: float
    value: float | None
    scatter: float

    def in_words(self, unit: str) -> str:
        """Such as `drifting steadily, +0.012 V a second`."""
        match self.why:
            case Unrest.DRIFTING:
                return f"drifting steadily, {self.per_second:+.2g} {unit} a second"
            case Unrest.CONTACT:
                return "a contact that comes and goes"
            case Unrest.HUNTING:
                return f"hunting by ±{2 * self.scatter:.2g} {unit}"


Outcome = NotYet | Settled | NeverSettles
"""What is known after a reading."""


@dataclass(frozen=True, slots=True)
class _Seen:
    at: float
    value: float | None
    state: State


class Settling:
    """`feed` each reading with its time; from the first Settled or NeverSettles on the answer stays, until `again`.

    Settled is: three readings in a row within the meter's own noise and resolution; or eight that scatter by no more
    than `wobble` and show no trend, their whole scatter kept, since what a supply does is no noise that averages out.
    After a contact failed twice, eight are asked for in either case. A change so slow that three readings show less of
    it than noise is not seen.
    """

    def __init__(self, still: Still) -> None:
        self._still = still
        self.again()

    @property
    def outcome(self) -> Outcome:
        return self._outcome

    @property
    def _band(self) -> float:
        return _BAND * self._still.noise + 2 * self._still.resolution

    def again(self) -> None:
        """Somebody moved something: begin anew, patience included."""
        self._seen: list[_Seen] = []
        self._count = 0
        self._breaks = 0
        self._began: float | None = None
        self._outcome: Outcome = NotYet()

    def feed(self, value: float | None, at: float, state: State = State.GOOD) -> Outcome:
        """One reading [SI] at a time [s]; a time that goes back counts as no time passed. Never raises."""
        if not isinstance(self._outcome, NotYet):
            return self._outcome
        last = self._seen[-1] if self._seen else None
        if not abs(at) < _LARGEST or (last is not None and at < last.at):
            at = 0.0 if last is None else last.at
        if state is State.GOOD and (value is None or not abs(value) < _LARGEST):
            value, state = None, State.NO_VALUE
        seen = _Seen(at, value if state is State.GOOD else None, state)
        self._breaks += _breaks([*self._seen[-2:], seen], self._band)
        if self._began is None:
            self._began = at
        self._count += 1
        self._seen = [*self._seen[1 - _KEPT :], seen]
        self._outcome = self._settled() or self._given_up() or NotYet()
        return self._outcome

    def _settled(self) -> Settled | None:
        need = _LONG if self._breaks >= 2 else _AGREE
        tail = _tail(self._seen)
        state = tail[-1].state
        if state is not State.GOOD:
            return Settled(state, None, 0.0, len(tail)) if len(tail) >= need else None
        still = self._still
        if len(tail) >= need:
            values = _values(tail[-need:])
            passed = still.drift * (tail[-1].at - tail[-need].at)
            if max(values) - min(values) <= self._band + passed:
                scatter = max(_stdev(values), still.noise) / math.sqrt(need)
                return Settled(state, statistics.fmean(values), scatter, need)
        if len(tail) >= _LONG and still.wobble > 0:
            part = tail[-_LONG:]
            values = _values(part)
            slope, weight = _trend(part, still.noise + still.resolution / 4)
            scatter = _stdev(values)
            if scatter <= still.wobble and (abs(weight) <= _TREND or abs(slope) <= still.drift):
                return Settled(state, statistics.fmean(values), scatter, _LONG)
        return None

    def _given_up(self) -> NeverSettles | None:
        assert self._began is not None
        if self._count < self._still.most and self._seen[-1].at - self._began < self._still.patience_s:
            return None
        good = [one for one in self._seen if one.value is not None]
        values = _values(good[-16:])
        if not values:
            return NeverSettles(Unrest.CONTACT, 0.0, None, 0.0)
        mean, scatter = statistics.fmean(values), _stdev(values)
        if self._breaks >= 2:
            return NeverSettles(Unrest.CONTACT, 0.0, mean, scatter)
        slope, weight = _trend(good[-16:], self._still.noise + self._still.resolution / 4)
        if abs(weight) > _DRIFTS:
            return NeverSettles(Unrest.DRIFTING, slope, mean, scatter)
        return NeverSettles(Unrest.HUNTING, 0.0, mean, scatter)


def _breaks(seen: Sequence[_Seen], band: float) -> bool:
    """Whether a good reading fell into overload or no value, or jumped by a fifth of itself and back.

    band: what the meter's own noise may do, which is no jump.
    """
    if len(seen) > 1 and seen[-1].value is None and seen[-2].value is not None:
        return True
    values = _values(seen)
    if len(values) < 3:
        return False
    there, back = values[1] - values[0], values[2] - values[1]
    size = max(2 * band, _JUMP * max(abs(value) for value in values))
    return there * back < 0 and min(abs(there), abs(back)) > size


def _tail(seen: Sequence[_Seen]) -> list[_Seen]:
    """The last readings of one and the same state."""
    first = len(seen) - 1
    while first > 0 and seen[first - 1].state is seen[-1].state:
        first -= 1
    return list(seen[first:])


def _values(seen: Sequence[_Seen]) -> list[float]:
    return [one.value for one in seen if one.value is not None]


def _stdev(values: Sequence[float]) -> float:
    return statistics.stdev(values) if len(values) > 1 else 0.0


def _trend(seen: Sequence[_Seen], floor: float) -> tuple[float, float]:
    """Slope [SI/s] of the straight line through the readings, and by how many of its standard deviations it is one.

    floor: the least standard deviation that a reading has.
    """
    values, times = _values(seen), [one.at for one in seen if one.value is not None]
    middle, mean = statistics.fmean(times), statistics.fmean(values)
    spread = sum((t - middle) * (t - middle) for t in times)
    if len(values) < 3 or spread <= 0:
        return 0.0, 0.0
    slope = sum((t - middle) * (v - mean) for t, v in zip(times, values, strict=True)) / spread
    rests = [v - mean - slope * (t - middle) for t, v in zip(times, values, strict=True)]
    left = sum(rest * rest for rest in rests)
    deviation = max(math.sqrt(left / (len(values) - 2)), floor)
    if deviation <= 0:
        return slope, math.copysign(math.inf, slope) if slope else 0.0
    return slope, slope * math.sqrt(spread) / deviation
