"""Two ways to a reading: a meter on a line, or a person who reads one and types."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from typing import Protocol

from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.requests import Connect, Enter, Take, Trouble
from bench.acceptance.watching import MACHINE, Patience, Seen, watch
from bench.quantities import Dimension, QuantityError, parse_typed
from drivers.accuracy import Accuracy
from drivers.errors import DriverError, Unsupported
from drivers.hand import typed_overload, typed_reading
from drivers.meter import Meter
from drivers.meter_doubt import reading_doubt
from drivers.meter_profile import MeterFunction, MeterProfile, Response
from drivers.reading import Component, Quantity, Reading

__all__ = ["DIMENSIONS", "AskValue", "HandInstrument", "Instrument", "MeterInstrument"]

AskValue = Callable[[Enter], str]
"""Puts an Enter to the operator and gives the typed text; raises Skipped or Stopped."""

DIMENSIONS = {
    Quantity.VOLTAGE_AC: Dimension.VOLTAGE,
    Quantity.VOLTAGE_DC: Dimension.VOLTAGE,
    Quantity.CURRENT_AC: Dimension.CURRENT,
    Quantity.CURRENT_DC: Dimension.CURRENT,
    Quantity.RESISTANCE: Dimension.RESISTANCE,
    Quantity.RESISTANCE_4W: Dimension.RESISTANCE,
    Quantity.FREQUENCY: Dimension.FREQUENCY,
}
_COUNTS = 2000
_LIVE = "Live: hands off the leads, only read. "
_OVERLOAD = {"ol", "o.l", "o.l.", "0l", "0.l", "0.l.", "1.", "over", "overload", "ovld", "inf"}


def _unseen(value: float | None, words: str) -> None:
    """Nobody watches."""


class Instrument(Protocol):
    """What a session needs of a meter."""

    @property
    def quantities(self) -> frozenset[Quantity]: ...

    @property
    def volt_spans(self) -> tuple[float, ...]:
        """Its AC volt ranges [V]; empty where they are not known."""
        ...

    @property
    def range_error(self) -> float:
        """Its error on AC volts as a fraction of the range."""
        ...

    @property
    def test_currents(self) -> tuple[tuple[float, float], ...]:
        """Full scale [ohm] and test current [A] of its ohm ranges, rising; empty where nobody says."""
        ...

    @property
    def identity(self) -> str:
        """What the record says of it."""
        ...

    @property
    def at_once(self) -> bool:
        """Whether volts and amps have a meter each, so that both can be connected together."""
        ...

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        """Standard uncertainty [SI] of a reading of `value`, None where it does not read that."""
        ...

    def wave_of(self, quantity: Quantity) -> WaveReading:
        """What it makes of a wave that is no sine."""
        ...

    @property
    def moves_by_hand(self) -> bool:
        """Whether the connecting is part of the typed reading, so that no extra ask is due."""
        ...

    def take(self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Seen = _unseen) -> Reading:
        """One reading; raises Trouble, Skipped or Stopped.

        live_volts: the most on any terminal meanwhile;  seen: told each value while it settles, with how it stands.
        """
        ...


class MeterInstrument:
    """A meter on a line: it takes its reading by itself once that stands still where it should.

    patience: with leads that look wrong, and with volts that are still coming up.
    """

    def __init__(self, meter: Meter, patience: Patience = MACHINE, clock: Callable[[], float] = time.monotonic) -> None:
        self._meter = meter
        self._patience = patience
        self._clock = clock

    @property
    def profile(self) -> MeterProfile:
        """With the accuracy of its calibration, where it has one."""
        return self._meter.profile

    @property
    def quantities(self) -> frozenset[Quantity]:
        return frozenset(quantity for quantity in Quantity if self._meter.supports(quantity))

    @property
    def volt_spans(self) -> tuple[float, ...]:
        function = self._meter.profile.functions.get(Quantity.VOLTAGE_AC)
        return () if function is None else tuple(one.full_scale for one in function.ranges)

    @property
    def range_error(self) -> float:
        function = self._meter.profile.functions.get(Quantity.VOLTAGE_AC)
        if function is None:
            return 0.0
        of_range = [
            r.accuracy.percent_of_range / 100 + r.accuracy.counts * r.resolution / r.full_scale for r in function.ranges
        ]
        return sum(of_range) / len(of_range)

    @property
    def test_currents(self) -> tuple[tuple[float, float], ...]:
        function = self._meter.profile.functions.get(Quantity.RESISTANCE)
        ranges = () if function is None else function.ranges
        return tuple((one.full_scale, one.test_current) for one in ranges if one.test_current is not None)

    @property
    def identity(self) -> str:
        return self._meter.identity or ""

    @property
    def at_once(self) -> bool:
        return False

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        function = self._meter.profile.functions.get(quantity)
        if function is None:
            return None
        try:
            here = function.range_for(value)
            parts = reading_doubt(value, here.noise, function, here, "", "", None, self._meter.frequency)
        except Unsupported:
            return None
        return math.hypot(*(part.u * part.sensitivity for part in parts))

    def wave_of(self, quantity: Quantity) -> WaveReading:
        function = self._meter.profile.functions.get(quantity)
        return WaveReading() if function is None else _wave_reading(function)

    @property
    def moves_by_hand(self) -> bool:
        return False

    def take(self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Seen = _unseen) -> Reading:
        try:
            self._meter.select(take.quantity, take.expected)
            here = self._meter.selected
            assert here is not None
            scatter = watch(self._meter.glance, take, here, live_volts, self._patience, seen, self._clock)
            reading = self._meter.read(take.samples)
            finer = self._meter.selected
            if finer is not None and finer != here:
                # Nobody said what to expect, so it was watched on the largest range, whose scatter is not this one's.
                settled = replace(self._patience, rise=0.0, stand=0.0)
                scatter = watch(self._meter.glance, take, finer, live_volts, settled, seen, self._clock)
                reading = self._meter.read(take.samples)
            return _with_scatter(reading, scatter)
        except DriverError as error:
            raise Trouble(f"{take.step}: {error}") from error


def _wave_reading(function: MeterFunction) -> WaveReading:
    return WaveReading(function.response, function.crest_factor_max, function.crest_factor_full_scale)


def _with_scatter(reading: Reading, scatter: float) -> Reading:
    """The reading, with what it scattered by while it was watched, where that is more than its own noise says."""
    noise = next((c for c in reading.components if c.source.endswith(":noise")), None)
    if noise is None or scatter <= noise.u:
        return reading
    more = Component(noise.source.removesuffix("noise") + "scatter", math.sqrt(scatter**2 - noise.u**2))
    return replace(reading, components=(*reading.components, more))


class HandInstrument:
    """Any meter, read by a person; the accuracy is that of the bench file."""

    def __init__(
        self,
        ask: AskValue,
        accuracies: dict[Quantity, Accuracy],
        *,
        lead_resistance: float = 0.0,
        test_current: float | None = None,
        name: str = "hand",
        response: Response = Response.NONE,
        clock: Callable[[], float] = time.monotonic,
        utcnow: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self._ask = ask
        self._accuracies = accuracies
        self._lead_resistance = lead_resistance
        self._test_current = test_current
        self._name = name
        self._response = response
        self._clock = clock
        self._utcnow = utcnow

    @property
    def quantities(self) -> frozenset[Quantity]:
        return frozenset(self._accuracies)

    @property
    def volt_spans(self) -> tuple[float, ...]:
        return ()

    @property
    def range_error(self) -> float:
        # A hand-held meter of 2000 counts, unless its digits show more.
        return self._accuracies[Quantity.VOLTAGE_AC].counts / _COUNTS

    @property
    def test_currents(self) -> tuple[tuple[float, float], ...]:
        return () if self._test_current is None else ((math.inf, self._test_current),)

    @property
    def identity(self) -> str:
        return f"{self._name}: read and typed by a person"

    @property
    def at_once(self) -> bool:
        return False

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        accuracy = self._accuracies.get(quantity)
        if accuracy is None or value <= 0:
            return None
        # Its digits are seen only when they are typed: 2000 counts, on ranges of 2, 20, 200.
        count = 10 ** math.ceil(math.log10(value / _COUNTS))
        parts = accuracy.components(value, resolution=count, span=None, shared="", own="")
        return math.hypot(*(part.u * part.sensitivity for part in parts))

    def wave_of(self, quantity: Quantity) -> WaveReading:
        return WaveReading(self._response)

    @property
    def moves_by_hand(self) -> bool:
        return True

    def take(self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Seen = _unseen) -> Reading:
        unit = "mA" if take.quantity is Quantity.CURRENT_AC else take.quantity.unit
        note = ""
        live = _LIVE if live_volts > HANDS_OFF_VOLTS else ""
        for _ in range(5):
            text = self._ask(
                Enter(
                    step=take.step,
                    quantity=take.quantity,
                    text=f"{note}{live}{connected.text} Type what it shows, with all its digits, or OL.",
                    unit=unit,
                    reading_of=connected,
                    cautions=connected.cautions if not note and not live_volts else (),  # told with the leads
                )
            )
            if text.strip().lower() in _OVERLOAD:
                return typed_overload(
                    take.quantity, instrument=self._name, at=self._utcnow(), monotonic=self._clock(), raw=text
                )
            try:
                return self._typed(text, unit, take.quantity)
            except QuantityError as error:
                note = f"{error}. "
        raise Trouble(f"{take.step}: no readable value in 5 attempts")

    def _typed(self, text: str, unit: str, quantity: Quantity) -> Reading:
        dimension = DIMENSIONS[quantity]
        bare = text.strip()
        try:
            float(bare.replace(",", "."))
            bare = f"{bare} {unit}"
        except ValueError:
            pass
        typed = parse_typed(bare, dimension)
        value = typed.value
        if value < 0 and quantity not in (Quantity.VOLTAGE_DC, Quantity.CURRENT_DC):
            raise QuantityError(f"{text.strip()!r}: {quantity} has no sign, expected 0 or more")
        if quantity is Quantity.RESISTANCE:
            value -= self._lead_resistance
        return typed_reading(
            value,
            typed.resolution,
            quantity,
            self._accuracies[quantity],
            instrument=self._name,
            at=self._utcnow(),
            monotonic=self._clock(),
            raw=text,
        )
