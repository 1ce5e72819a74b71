"""The hand-held meter that the hand reads when no bench meter is at hand: 3.5 digits, one per cent or so."""

from __future__ import annotations

import math

from bench.rehearsal.chance import bounded_normal, stream
from bench.rehearsal.probe import Probe
from bench.rehearsal.wiring import Quantity

__all__ = ["read_handheld", "read_wattmeter"]

_ACCURACY = 0.008
_COUNTS = 1999
# Full scales with the unit they are shown in and what one such unit is in SI.
_RANGES: dict[Quantity, tuple[tuple[float, str, float], ...]] = {
    Quantity.VOLTAGE_AC: ((0.2, "V", 1.0), (2.0, "V", 1.0), (20.0, "V", 1.0), (200.0, "V", 1.0), (600.0, "V", 1.0)),
    Quantity.CURRENT_AC: ((2e-3, "mA", 1e-3), (20e-3, "mA", 1e-3), (0.2, "mA", 1e-3), (2.0, "A", 1.0)),
    Quantity.RESISTANCE: (
        (200.0, "ohm", 1.0),
        (2e3, "kohm", 1e3),
        (20e3, "kohm", 1e3),
        (200e3, "kohm", 1e3),
        (2e6, "Mohm", 1e6),
        (20e6, "Mohm", 1e6),
    ),
    Quantity.FREQUENCY: ((199.9, "Hz", 1.0), (1999.0, "Hz", 1.0)),
}


def read_wattmeter(true: float, seed: int) -> str:
    """What the hand reads on a plug-in wattmeter, W: two decimals, its gain within 2 %."""
    gain = 1 + bounded_normal(stream(seed, "wattmeter"), 0.008, 0.02)
    return f"{true * gain:.2f} W"


def read_handheld(probe: Probe, quantity: Quantity, seed: int, time: float, slip: float = 1.0) -> str:
    """What the hand types for a quantity: digits as shown, with the unit, or `OL`.

    slip: factor by which the hand misplaces the decimal point.
    """
    true = {
        Quantity.VOLTAGE_AC: lambda: probe.voltage(time),
        Quantity.CURRENT_AC: lambda: probe.current(time),
        Quantity.FREQUENCY: lambda: probe.frequency(time),
    }.get(quantity, lambda: probe.resistance(time))()
    kind = Quantity.RESISTANCE if quantity is Quantity.RESISTANCE_4W else quantity
    if kind is Quantity.VOLTAGE_DC:
        return "0.00 V"
    for full, unit, worth in _RANGES[kind]:
        share = 5e-4 if kind is Quantity.FREQUENCY else _ACCURACY
        gain = 1 + bounded_normal(stream(seed, f"handheld {kind} {full:g}"), share / 2.5, share)
        step = 10.0 ** math.ceil(math.log10(full / worth / (_COUNTS + 1)) - 1e-9)
        counts = true * gain / worth / step if math.isfinite(true) else math.inf
        if counts <= min(_COUNTS, full / worth / step):
            shown = round(counts) * step * slip
            places = max(0, -round(math.log10(step * slip)))
            return f"{shown:.{places}f} {unit}"
    return "OL"
