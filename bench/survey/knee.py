"""Where a volt-ampere curve bends over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from bench.job.as_found import CurvePoint
from bench.survey.interval import Interval

__all__ = ["KNEE_AMPS", "KNEE_VOLTS", "Curve", "knee_of"]

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
        """Sorted; raises ValueError for fewer than three points or two at the same volts."""
        pairs = sorted((one.voltage, one.current) for one in points)
        if len(pairs) < 3:
            raise ValueError(f"an exciting curve of {len(pairs)} points, expected 3 or more")
        if len({volts for volts, _ in pairs}) < len(pairs):
            raise ValueError("an exciting curve with two points at the same volts, expected each once")
        return cls(tuple(v for v, _ in pairs), tuple(i for _, i in pairs), frequency)

    def amps_at(self, volts: float) -> float | None:
        """Current [A] between the points, a smooth curve in logarithms; None outside them."""
        if not self.volts[0] <= volts <= self.volts[-1]:
            return None
        return math.exp(float(self.log_amps(np.array([math.log(volts)]))[0]))

    def log_amps(self, log_volts: NDArray[np.float64]) -> NDArray[np.float64]:
        """ln of the current [A] at ln of volts [V] between the ends, by monotone cubics."""
        # exp(log) of an end point may fall a hair outside: clip.
        at = np.clip(log_volts, math.log(self.volts[0]), math.log(self.volts[-1]))
        return np.asarray(PchipInterpolator(np.log(self.volts), np.log(self.amps))(at))

    def growth(self, volts: float) -> float | None:
        """By how much 10 % more volts raise the current; None where the curve does not reach."""
        here, there = self.amps_at(volts), self.amps_at(volts * KNEE_VOLTS)
        return None if here is None or there is None else there / here


def knee_of(curve: Curve) -> Interval | None:
    """Volts [V] of the knee on the winding that was fed; None where the curve ends before it, or begins beyond."""
    lowest, highest = curve.volts[0], curve.volts[-1] / KNEE_VOLTS
    if highest <= lowest:
        return None
    logs = np.linspace(math.log(lowest), math.log(highest), 400)
    log_growths = curve.log_amps(logs + math.log(KNEE_VOLTS)) - curve.log_amps(logs)
    beyond = np.flatnonzero(log_growths >= math.log(KNEE_AMPS))
    if not len(beyond) or beyond[0] == 0:
        return None
    at = int(beyond[0])
    log_knee = float(np.interp(math.log(KNEE_AMPS), log_growths[at - 1 : at + 1], logs[at - 1 : at + 1]))
    # How steeply the growth itself climbs, over a tenth of the volts, tells what a doubt in two currents does.
    around = slice(max(0, at - 8), at + 8)
    slope = float(np.polyfit(logs[around], log_growths[around], 1)[0])
    u_log = math.sqrt(2.0) * _U_LOG_AMPS / max(slope, 0.3)
    return Interval.from_log(log_knee, min(u_log, 0.2))
