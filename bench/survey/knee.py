"""Where a volt-ampere curve bends over."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bench.job.as_found import CurvePoint
from bench.survey.interval import Interval

__all__ = ["KNEE_AMPS", "KNEE_VOLTS", "Curve", "Knee", "Where", "knee_of"]

KNEE_VOLTS = 1.1
KNEE_AMPS = 1.5
"""The knee: where 10 % more volts take 50 % more current (rule for current transformers, IEC 61869-2; from memory)."""

_U_LOG_AMPS = 0.02
"""Of one reading of a peaky current against its neighbour on the same meter (common practice, no source)."""


@dataclass(frozen=True)
class Curve:
    """An exciting curve that was read: volts [V] (n,) rising, amps [A] (n,), frequency [Hz]."""

    volts: tuple[float, ...]
    amps: tuple[float, ...]
    frequency: float

    @classmethod
    def of(cls, points: Sequence[CurvePoint], frequency: float) -> Curve:
        """Sorted; raises ValueError for fewer than three points, two at the same volts, or a current that falls."""
        pairs = sorted((one.voltage, one.current) for one in points)
        if len(pairs) < 3:
            raise ValueError(f"an exciting curve of {len(pairs)} points, expected 3 or more")
        for (volts, amps), (more_volts, more_amps) in itertools.pairwise(pairs):
            if more_volts == volts:
                raise ValueError(f"an exciting curve with two points at {volts:g} V, expected each once")
            if more_amps <= amps:
                raise ValueError(
                    f"an exciting curve whose current does not rise from {volts:g} V ({amps * 1e3:.4g} mA) to "
                    f"{more_volts:g} V ({more_amps * 1e3:.4g} mA): one of the two is a slip"
                )
        return cls(tuple(v for v, _ in pairs), tuple(i for _, i in pairs), frequency)

    def amps_at(self, volts: float) -> float | None:
        """Current [A] between the points, a smooth curve in logarithms; None outside them."""
        if not self.volts[0] <= volts <= self.volts[-1]:
            return None
        return math.exp(float(self.log_amps(np.array([math.log(volts)]))[0]))

    def log_amps(self, log_volts: NDArray[np.float64]) -> NDArray[np.float64]:
        """ln of the current [A] at ln of volts [V] between the ends, by monotone cubics."""
        from scipy.interpolate import PchipInterpolator  # half a second, which a survey without a curve need not wait

        # exp(log) of an end point may fall a hair outside: clip.
        at = np.clip(log_volts, math.log(self.volts[0]), math.log(self.volts[-1]))
        return np.asarray(PchipInterpolator(np.log(self.volts), np.log(self.amps))(at))

    def growth(self, volts: float, factor: float = KNEE_VOLTS) -> float | None:
        """By how much `factor` times the volts raise the current; None where the curve does not reach."""
        here, there = self.amps_at(volts), self.amps_at(volts * factor)
        return None if here is None or there is None else there / here


class Where(StrEnum):
    """Where the knee lies against the points that were read."""

    WITHIN = "within"
    ABOVE = "above"
    BELOW = "below"


@dataclass(frozen=True)
class Knee:
    """volts [V] on the winding that was fed, None unless the knee lies within the curve."""

    where: Where
    volts: Interval | None = None


def knee_of(curve: Curve) -> Knee:
    """The last place from which on 10 % more volts take 50 % more current: noise low down makes no knee."""
    lowest, highest = curve.volts[0], curve.volts[-1] / KNEE_VOLTS
    if highest <= lowest:
        return Knee(Where.ABOVE)
    logs = np.linspace(math.log(lowest), math.log(highest), 400)
    log_growths = curve.log_amps(logs + math.log(KNEE_VOLTS)) - curve.log_amps(logs)
    before = np.flatnonzero(log_growths < math.log(KNEE_AMPS))
    if not len(before):
        return Knee(Where.BELOW)
    at = int(before[-1]) + 1
    if at == len(logs):
        return Knee(Where.ABOVE)
    log_knee = float(np.interp(math.log(KNEE_AMPS), log_growths[at - 1 : at + 1], logs[at - 1 : at + 1]))
    # How steeply the growth itself climbs, over a tenth of the volts, tells what a doubt in two currents does.
    around = slice(max(0, at - 8), at + 8)
    slope = float(np.polyfit(logs[around], log_growths[around], 1)[0])
    u_log = math.sqrt(2.0) * _U_LOG_AMPS / max(slope, 0.3)
    return Knee(Where.WITHIN, Interval.from_log(log_knee, min(u_log, 0.2)))
