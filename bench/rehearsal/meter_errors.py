"""The errors that a meter keeps: gain and offset by function and range, drawn by seed within its class."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from bench.rehearsal.chance import bounded_normal, stream

__all__ = ["Function", "MeterErrors"]


class Function(Enum):
    """A function of the bench meter: its standard header, ranges, and seconds that it settles.

    Then its errors: gain as a multiple of the meter's class, offset and noise as shares of the range. The
    classes of the functions stand to each other as those of common bench meters do, from memory.
    """

    VOLT_AC = ("VOLT:AC", (0.1, 1.0, 10.0, 100.0, 750.0), 0.06, 1.0, 5e-5, 1.5e-5)
    VOLT_DC = ("VOLT:DC", (0.1, 1.0, 10.0, 100.0, 750.0), 0.03, 0.08, 3e-6, 1.5e-6)
    CURR_AC = ("CURR:AC", (0.01, 0.1, 1.0, 3.0), 0.06, 2.0, 5e-5, 1.5e-5)
    RES = ("RES", (10.0, 100.0, 1e3, 10e3, 100e3, 1e6, 10e6), 0.03, 0.2, 1.2e-5, 3e-6)
    FRES = ("FRES", (10.0, 100.0, 1e3, 10e3, 100e3, 1e6, 10e6), 0.03, 0.2, 1.2e-5, 3e-6)
    FREQ = ("FREQ", (0.1, 1.0, 10.0, 100.0, 750.0), 0.02, 0.02, 0.0, 0.0)

    def __init__(
        self, header: str, ranges: tuple[float, ...], settling: float, gain: float, offset: float, noise: float
    ) -> None:
        self.header = header
        self.ranges = ranges
        self.settling = settling
        self.gain = gain
        self.offset = offset
        self.noise = noise


@dataclass(frozen=True, slots=True)
class MeterErrors:
    """A meter of a class: the share of a reading of alternating volts that its gain may be off."""

    seed: int
    accuracy: float = 0.0005

    def gain(self, function: Function, full_scale: float) -> float:
        """Factor on every reading of one function and range: two and a half standard deviations fill the class."""
        share = function.gain * self.accuracy
        rng = stream(self.seed, f"gain {function.header} {full_scale:g}")
        return 1 + bounded_normal(rng, share / 2.5, share)

    def offset(self, function: Function, full_scale: float) -> float:
        """What every reading of one function and range is off, in its unit."""
        rng = stream(self.seed, f"offset {function.header} {full_scale:g}")
        return full_scale * bounded_normal(rng, function.offset, 3 * function.offset)
