"""Watts that a core takes, from the volts on its winding, across a known resistor in series, and across both."""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.requests import Connect, Due, Excite, Request
from bench.estimate import Estimate
from drivers.reading import Quantity, Reading

__all__ = ["core_power", "read_three", "series_current"]

# What the supply may waver between readings one after another, besides what the two on the winding show, standard
# uncertainty as a fraction of the volts across both; common practice, no source.
_DRIFT = 0.0005


def core_power(context: Context, resistor: float, readings: Sequence[Reading]) -> Estimate:
    """P = (Vs^2 - Vr^2 - V^2) / 2R [W], exact for any wave with true RMS readings; less the winding's own I2R.

    resistor [ohm];  readings: as `read_three` gives them.  What the supply drifted from the first to the last, both on
    the winding, is taken out on a line, and half of it is kept as a component.
    """
    volts = [Estimate.of(one) for one in readings]
    winding, last = volts[0], volts[-1]
    across, both = (volts[n] * (winding.value / _level_at(readings[0], readings[-1], readings[n])) for n in (1, 2))
    ohms = _ohms(context, resistor)
    current = across / ohms
    power = (both * both - across * across - winding * winding) / (2.0 * ohms)
    known = context.expectation.fed_span.resistance
    copper = known if known is not None and math.isfinite(known) else 0.0
    core = power - current * current * copper
    moved = abs(last.value / winding.value - 1.0) / 2 / 3**0.5
    return core.also("supply drift", math.hypot(_DRIFT, moved) * 2 * both.value**2 / (2 * resistor))


def series_current(context: Context, resistor: float, readings: Sequence[Reading]) -> Estimate:
    """Current [A rms] that the core took at those volts: what the resistor shows, over its ohms."""
    across = Estimate.of(readings[1]) * (
        Estimate.of(readings[0]).value / _level_at(readings[0], readings[-1], readings[1])
    )
    return across / _ohms(context, resistor)


def _ohms(context: Context, resistor: float) -> Estimate:
    return Estimate(resistor, {"series resistor": resistor * context.equipment.series_tolerance / 3**0.5})


def _level_at(first: Reading, last: Reading, reading: Reading) -> float:
    """Volts on the winding at the moment of a reading, on the line between its two."""
    assert first.value is not None
    assert last.value is not None
    length = last.monotonic - first.monotonic
    share = 0.5 if length <= 0 else min(1.0, max(0.0, (reading.monotonic - first.monotonic) / length))
    return first.value + (last.value - first.value) * share


def read_three(
    context: Context, step: str, resistor: float, feed: Excite, text: str = "", due: Due | None = None
) -> Generator[Request, Any, list[Reading]]:
    """Volts on the winding, across the resistor, across both, and on the winding again, at one excitation and on one
    range.

    due: of all but the resistor's.  What was read under the mains of an earlier sitting is read again.
    """
    fed = context.expectation.fed_span
    places = (
        (fed.from_terminal, fed.to_terminal, "the winding"),
        ("resistor.supply", "resistor.winding", "the resistor"),
        ("resistor.supply", fed.to_terminal, "both together"),
        (fed.from_terminal, fed.to_terminal, "the winding again"),
    )
    readings: dict[str, Reading] = {}
    read_in: dict[str, int] = {}
    while True:
        for start, finish, where in places:
            if read_in.get(where) == context.sitting and len(read_in) == len(places):
                continue
            words = (
                f"{text} {resistor:g} ohm between the supply and {fed.from_terminal}; voltmeter across {where}.".strip()
            )
            yield from context.connect(
                Connect(step, Quantity.VOLTAGE_AC, start, finish, winding=fed.winding, text=words, expected=feed.volts)
            )
            yield from context.excite(feed)
            # All three on one range: their gain error is then one and the same.
            near = None if where == "the resistor" else due
            readings[where] = yield from context.take(step, Quantity.VOLTAGE_AC, feed.volts * 1.1, 3, near)
            read_in[where] = context.sitting
        if len(set(read_in.values())) == 1:
            return [readings[where] for _, _, where in places]
