"""When a reading has settled, and what the mean of several says."""

from __future__ import annotations

import statistics
from collections.abc import Callable
from dataclasses import dataclass

from drivers.meter_profile import MeterRange
from drivers.reading import State
from drivers.scpi import Answer, NoValue, Overload, Value

__all__ = ["SETTLING_MOST", "Measured", "Measurement", "measure"]

SETTLING_MOST = 10
_BAND = 4.3  # two readings of the same value differ by more in 1 of 400: 3.04 * sqrt(2) standard deviations


@dataclass(frozen=True, slots=True)
class Measurement:
    """One answer with its raw text: a Value, an Overload or a NoValue."""

    answer: Answer
    raw: str


@dataclass(frozen=True, slots=True)
class Measured:
    """What several answers come to. noise: standard uncertainty of the value from its scatter, SI."""

    state: State
    value: float | None
    noise: float
    raw: str


def measure(one: Callable[[], Measurement], here: MeterRange, samples: int) -> Measured:
    """Read until two consecutive answers agree, then take the mean of `samples` from the second on.

    They agree within the noise and resolution of the range, or by the same state. When they never do,
    within ten answers, the value still drifts or flickers: the mean of the last ones is given and their
    whole scatter goes into its noise. An answer over range makes the whole reading over range.
    """
    band = _BAND * here.noise + 2.0 * here.resolution
    history = [one()]
    settled = False
    while not settled and len(history) < SETTLING_MOST:
        history.append(one())
        settled = _agree(history[-2].answer, history[-1].answer, band)
    taken = [history[-1]] if settled else history[len(history) // 2 :]
    while len(taken) < samples:
        taken.append(one())
    raw = "; ".join(each.raw for each in taken)
    for state, kind in ((State.OVERLOAD, Overload), (State.NO_VALUE, NoValue)):
        if any(isinstance(each.answer, kind) for each in taken):
            return Measured(state, None, 0.0, raw)
    values = [each.answer.value for each in taken if isinstance(each.answer, Value)]
    scatter = statistics.stdev(values) if len(values) > 1 else 0.0
    averaged = len(values) if settled else 1  # a drift does not average out
    noise = max(scatter, here.noise) / averaged**0.5
    return Measured(State.GOOD, statistics.fmean(values), noise, raw)


def _agree(first: Answer, second: Answer, band: float) -> bool:
    if isinstance(first, Value) and isinstance(second, Value):
        return abs(first.value - second.value) <= band
    return type(first) is type(second)
