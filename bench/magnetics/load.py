"""What is connected to a winding: values only, so that a load can be written down before anything is solved."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

__all__ = ["SILICON", "Circuit", "Diode", "Filter", "Load", "RectifierLoad", "ResistiveLoad"]


def _positive(name: str, value: float, unit: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{name} is {value:g} {unit}, expected more than 0")


def _not_negative(name: str, value: float, unit: str) -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{name} is {value:g} {unit}, expected 0 or more")


class Circuit(Enum):
    """How a rectifier takes current from its winding.

    BRIDGE: the whole winding on both halves of the cycle, two diodes in series.  FULL_WAVE: a winding with a centre
    tap, its halves in turn, one diode each.  HALF_WAVE: one diode, and direct current in the winding.
    """

    BRIDGE = "bridge"
    FULL_WAVE = "full wave"
    HALF_WAVE = "half wave"


class Filter(Enum):
    """What stands between the rectifier and what it feeds: nothing, a capacitor, or a choke before the capacitor.

    A capacitor, choke and second capacitor are a capacitor input whose load is a current: the winding sees no more.
    """

    NONE = "none"
    CAPACITOR_INPUT = "capacitor input"
    CHOKE_INPUT = "choke input"


@dataclass(frozen=True)
class Diode:
    """A rectifier that takes v = forward_drop + slope_resistance x i when it conducts, and nothing otherwise.

    forward_drop [V] >= 0, slope_resistance [ohm] >= 0.  For one diode of silicon about 0.8 V and some hundredths of an
    ohm; for a valve no drop and its plate resistance, tens to hundreds of ohms (common practice, no source).
    """

    forward_drop: float
    slope_resistance: float

    def __post_init__(self) -> None:
        _not_negative("forward drop", self.forward_drop, "V")
        _not_negative("slope resistance", self.slope_resistance, "ohm")


SILICON = Diode(forward_drop=0.8, slope_resistance=0.02)
"""A silicon diode at about an ampere: common practice, no source."""


@dataclass(frozen=True)
class ResistiveLoad:
    """A resistance [ohm] > 0 across a winding."""

    winding: str
    resistance: float

    def __post_init__(self) -> None:
        _positive("load resistance", self.resistance, "ohm")

    @classmethod
    def rated(cls, winding: str, voltage: float, current: float) -> ResistiveLoad:
        """The resistance that takes `current` [A rms] at `voltage` [V rms]: R = V / I.  Raises ValueError."""
        _positive("rated voltage", voltage, "V")
        _positive("rated current", current, "A")
        return cls(winding, voltage / current)


@dataclass(frozen=True)
class RectifierLoad:
    """A rectifier, its filter and what it feeds.

    Exactly one of dc_current [A] > 0, which the load takes whatever the volts, and load_resistance [ohm] > 0.
    capacitance [F] > 0 with a capacitor input, >= 0 after a choke; choke_inductance [H] > 0 and choke_resistance [ohm]
    >= 0 with a choke input.  A constant current needs a capacitor to be taken from.  Raises ValueError otherwise.
    """

    winding: str
    circuit: Circuit
    filter: Filter
    diode: Diode = SILICON
    dc_current: float | None = None
    load_resistance: float | None = None
    capacitance: float = 0.0
    choke_inductance: float = 0.0
    choke_resistance: float = 0.0

    def __post_init__(self) -> None:
        if (self.dc_current is None) == (self.load_resistance is None):
            raise ValueError(f"rectifier on {self.winding}: expected either a direct current or a load resistance")
        if self.dc_current is not None:
            _positive("direct current", self.dc_current, "A")
        if self.load_resistance is not None:
            _positive("load resistance", self.load_resistance, "ohm")
        _not_negative("capacitance", self.capacitance, "F")
        _not_negative("choke resistance", self.choke_resistance, "ohm")
        if self.filter is Filter.CHOKE_INPUT:
            _positive("choke inductance", self.choke_inductance, "H")
        elif self.choke_inductance or self.choke_resistance:
            raise ValueError(f"rectifier on {self.winding}: a choke belongs to a choke input only")
        if self.filter is Filter.NONE and self.capacitance:
            raise ValueError(f"rectifier on {self.winding}: a capacitor makes it a capacitor input")
        if self.filter is Filter.CAPACITOR_INPUT or self.dc_current is not None:
            _positive("capacitance", self.capacitance, "F")

    @classmethod
    def rated(
        cls, winding: str, circuit: Circuit, diode: Diode, volts: Sequence[float], dc_current: float
    ) -> RectifierLoad:
        """Without a filter, the resistance that takes `dc_current` [A] > 0, the mean, at a sine of the rated volts.

        volts [V rms]: of the winding, or of both halves of a winding with a centre tap.  One half cycle gives the mean
        (sqrt(Vp^2 - Vd^2) - Vd arccos(Vd / Vp)) / pi of the volts over the diodes' drop Vd, Vp the peak; diodes' slope
        and load share it.  Raises ValueError where the rated volts don't give that current.
        Source: integral of a sine from where it passes the drop on.
        """
        _positive("direct current", dc_current, "A")
        in_series = 2 if circuit is Circuit.BRIDGE else 1
        drop = in_series * diode.forward_drop
        cycles = list(volts) * 2 if circuit is Circuit.BRIDGE else list(volts)
        mean = math.fsum(_mean_over_drop(math.sqrt(2.0) * one, drop) for one in cycles)
        resistance = mean / dc_current - in_series * diode.slope_resistance
        if not resistance > 0:
            rated = " and ".join(f"{one:g}" for one in volts)
            raise ValueError(
                f"the rectifier on {winding} without a filter can't give {dc_current:g} A at its rated {rated} V"
            )
        return cls(winding, circuit, Filter.NONE, diode, load_resistance=resistance)


def _mean_over_drop(peak: float, drop: float) -> float:
    """Mean over a whole cycle of what one half cycle of a sine has over a drop; both [V]."""
    if peak <= drop:
        return 0.0
    return (math.sqrt(peak**2 - drop**2) - drop * math.acos(drop / peak)) / math.pi


Load = ResistiveLoad | RectifierLoad
"""All that on-load calculation can connect to a winding."""
