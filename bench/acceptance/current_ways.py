"""Ways to the exciting current: an ammeter in the feed, or volts across a known resistor; the better one by numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.acceptance.context import Context
from bench.acceptance.due import amps_due, resistor_due
from bench.acceptance.peaky_current import as_rms
from bench.acceptance.requests import Connect, Due, Excite
from bench.estimate import Estimate
from bench.job.expectation import ExcitingCurve
from drivers.reading import Quantity, Reading

__all__ = ["CurrentWay", "bent_by_resistor", "current_way"]

_CLEARLY_BETTER = 0.7
"""Of the ammeter's doubt: a resistor that is hardly better is not worth its part in the circuit."""
_MOST_DROP = 0.35
"""Of the volts on the winding: a larger drop bends the flux, and asks for more volts than a variac gives."""
_HEATED = 0.7
_BENT = (0.003, 0.02)


def bent_by_resistor(slope: float, share: float) -> float:
    """Most that a resistor in the feed falsifies the RMS current at equal RMS volts on the winding, as a fraction.

    slope: d ln I / d ln V of the exciting curve there;  share: volts across the resistor over those on the winding.
    The resistor flattens the peaks of the current beyond the knee.  A bound on what the core model of the shipped jobs
    computes up to 120 % of nominal (a test shows it); not a formula of a book.
    """
    return share * (_BENT[0] + _BENT[1] * max(0.0, slope - 1.0) ** 2)


@dataclass(frozen=True)
class CurrentWay:
    """How the exciting current is read.  ohms: the known resistor as an estimate, None with an ammeter."""

    place: Connect
    words: str
    ohms: Estimate | None = None

    @property
    def quantity(self) -> Quantity:
        return self.place.quantity

    def feed(self, context: Context, curve: ExcitingCurve, step: str, volts: float) -> Excite:
        """The feed that puts about `volts` on the winding: what the resistor takes is added at the source."""
        if self.ohms is None:
            return context.feed(step, volts, "variac")
        drop = curve.current_at(volts) * self.ohms.value
        # V.I cos(phi) is the core's watts: the part of the drop that is in phase with the volts.
        source = math.sqrt(volts**2 + drop**2 + 2 * self.ohms.value * curve.watts_at(volts))
        return context.feed(step, source, "variac", series_ohms=self.ohms.value)

    def expected(self, amps: float) -> float:
        """What the meter shows for a current [A]."""
        return amps if self.ohms is None else amps * self.ohms.value

    def due(self, amps: float) -> Due:
        return amps_due(amps) if self.ohms is None else resistor_due(self.expected(amps))

    def amps(self, context: Context, curve: ExcitingCurve, reading: Reading, volts: float) -> tuple[Estimate, str]:
        """The current [A rms] that a good reading tells at `volts` on the winding, and what was done to it in words."""
        read = Estimate.of(reading)
        wave = context.equipment.wave_of(self.quantity)
        if self.ohms is None:
            return as_rms(read, wave, curve, volts, reading.span)
        read, note = as_rms(read, wave, curve, volts, reading.span)
        amps = read / self.ohms
        bent = bent_by_resistor(curve.slope_at(volts), read.value / volts)
        return amps.also("wave bent by the resistor", amps.value * bent / math.sqrt(3.0)), note


def current_way(context: Context, curve: ExcitingCurve) -> CurrentWay | None:
    """The ammeter, unless the meter has none or the resistor reads clearly better; None where there is neither."""
    ammeter = _ammeter(context) if Quantity.CURRENT_AC in context.equipment.quantities else None
    resistor = _resistor(context, curve)
    if ammeter is None or resistor is None:
        return ammeter or resistor
    if context.equipment.at_once:
        return ammeter  # no lead is moved
    amps = curve.current_at(context.expectation.voltage)
    by_meter = context.equipment.doubt_of(Quantity.CURRENT_AC, amps)
    by_resistor = _resistor_doubt(context, amps)
    if by_meter is None or by_resistor is None:
        return ammeter
    return resistor if by_resistor < _CLEARLY_BETTER * by_meter / amps else ammeter


def _ammeter(context: Context) -> CurrentWay:
    fed = context.expectation.fed_span
    place = Connect(
        "exciting",
        Quantity.CURRENT_AC,
        "supply.live",
        fed.from_terminal,
        winding=fed.winding,
        text=f"Ammeter in place of the wire from the supply to {fed.from_terminal}.",
    )
    return CurrentWay(place, "by the ammeter")


def _resistor(context: Context, curve: ExcitingCurve) -> CurrentWay | None:
    """The known resistor, where it neither burns nor takes too much of the volts at the highest point."""
    ohms, watts, fed = context.equipment.series_ohms, context.equipment.series_watts, context.expectation.fed_span
    if ohms is None:
        return None
    volts = max(context.rules["exciting"]["points"]) * context.expectation.voltage
    amps = curve.current_at(volts)
    if amps * ohms > _MOST_DROP * volts or (watts is not None and amps**2 * ohms > _HEATED * watts):
        return None
    place = Connect(
        "exciting",
        Quantity.VOLTAGE_AC,
        "resistor.supply",
        "resistor.winding",
        winding=fed.winding,
        text=f"{ohms:g} ohm between the supply and {fed.from_terminal}; voltmeter across the resistor.",
    )
    known = Estimate(ohms, {"series resistor": ohms * context.equipment.series_tolerance / 3**0.5})
    return CurrentWay(place, f"as volts across {ohms:g} ohm", known)


def _resistor_doubt(context: Context, amps: float) -> float | None:
    """Relative standard uncertainty of a current read as volts across the resistor."""
    ohms = context.equipment.series_ohms
    assert ohms is not None
    volts = context.equipment.doubt_of(Quantity.VOLTAGE_AC, amps * ohms)
    if volts is None:
        return None
    return math.hypot(volts / (amps * ohms), context.equipment.series_tolerance / math.sqrt(3.0))
