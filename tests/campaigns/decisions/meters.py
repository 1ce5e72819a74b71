"""Meters of four classes: what their leaflet promises, the errors that each truly has, and their readings."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from bench.acceptance.meter_abilities import WaveReading, true_rms
from bench.acceptance.requests import Connect, Take, Trouble
from bench.rehearsal.chance import stream
from bench.rehearsal.probe import Probe
from drivers.accuracy import Accuracy
from drivers.errors import Unsupported
from drivers.measuring import Measurement, measure
from drivers.meter_doubt import reading_doubt
from drivers.meter_profile import MeterFunction, MeterRange
from drivers.reading import Quantity, Reading
from drivers.scpi import Overload, Value
from tests.campaigns.decisions.time_at_the_bench import BenchTime

__all__ = ["CLASSES", "ClassMeter"]

_NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
_LEADS = 0.3
"""Most that two leads add to a two-wire resistance [ohm]."""


@dataclass(frozen=True)
class MeterClass:
    """A kind of meter: counts of its scale, ranges, and its leaflet in multiples of the class.

    of_reading, of_range: by quantity, in multiples of the class; how the functions of common meters stand to each other
    is from memory.  over: how far beyond full scale a range still reads.
    """

    percent: float
    counts: float
    over: float
    spans: dict[Quantity, tuple[float, ...]]
    of_reading: dict[Quantity, float]
    of_range: dict[Quantity, float]

    def functions(self) -> dict[Quantity, MeterFunction]:
        return {quantity: MeterFunction(quantity, (), "", self._ranges(quantity)) for quantity in self.spans}

    def _ranges(self, quantity: Quantity) -> tuple[MeterRange, ...]:
        found = []
        for span in self.spans[quantity]:
            # Hertz have a scale of their own, and no range of it matters here.
            resolution = span / (self.counts if quantity is not Quantity.FREQUENCY else 1e5)
            accuracy = Accuracy(self.percent * self.of_reading[quantity], self.percent * self.of_range[quantity])
            found.append(MeterRange(span, resolution, max(1.5e-5 * span, resolution / 4), accuracy))
        return tuple(found)


_OHMS_ON_A_BENCH = (10.0, 100.0, 1e3, 10e3, 100e3, 1e6, 10e6)
_OHMS_IN_THE_HAND = (200.0, 2e3, 20e3, 200e3, 2e6, 20e6)
_BENCH_SPANS = {
    Quantity.VOLTAGE_AC: (0.1, 1.0, 10.0, 100.0, 750.0),
    Quantity.CURRENT_AC: (0.01, 0.1, 1.0, 3.0),
    Quantity.RESISTANCE: _OHMS_ON_A_BENCH,
    Quantity.RESISTANCE_4W: _OHMS_ON_A_BENCH,
    Quantity.FREQUENCY: (1000.0,),
}
_HAND_SPANS = {
    Quantity.VOLTAGE_AC: (0.2, 2.0, 20.0, 200.0, 750.0),
    Quantity.CURRENT_AC: (2e-3, 20e-3, 0.2, 2.0),
    Quantity.RESISTANCE: _OHMS_IN_THE_HAND,
    Quantity.FREQUENCY: (1000.0,),
}
_BENCH_READING = {
    Quantity.VOLTAGE_AC: 1.0,
    Quantity.CURRENT_AC: 2.0,
    Quantity.RESISTANCE: 0.2,
    Quantity.RESISTANCE_4W: 0.2,
    Quantity.FREQUENCY: 0.2,
}
_HAND_READING = {**_BENCH_READING, Quantity.RESISTANCE: 0.6}
_RANGE = {
    Quantity.VOLTAGE_AC: 0.5,
    Quantity.CURRENT_AC: 0.5,
    Quantity.RESISTANCE: 0.1,
    Quantity.RESISTANCE_4W: 0.1,
    Quantity.FREQUENCY: 0.0,
}

CLASSES: dict[str, MeterClass] = {
    "0.05": MeterClass(0.05, 1e6, 1.2, _BENCH_SPANS, _BENCH_READING, _RANGE),
    "0.2": MeterClass(0.2, 1e5, 1.2, _BENCH_SPANS, _BENCH_READING, _RANGE),
    "0.5": MeterClass(0.5, 2e4, 1.0, _HAND_SPANS, _HAND_READING, _RANGE),
    "1": MeterClass(1.0, 2e3, 1.0, _HAND_SPANS, _HAND_READING, _RANGE),
}
"""By class in per cent of a reading of alternating volts: 6.5 and 5.5 digits on the bench, 4.5 and 3.5 in the hand."""


class ClassMeter:
    """One meter of a class on the rehearsal's leads.

    Its gain and its offset are drawn once for each range, evenly within the stated limits (JCGM 100:2008, 4.3.7), and
    stay as they are; its scatter is drawn for each answer. Its doubt comes from the drivers, as that of a real one.
    """

    identity = "meter of the campaign"
    moves_by_hand = False
    at_once = False
    test_currents: tuple[tuple[float, float], ...] = ()

    def __init__(self, name: str, probe: Probe, seed: int, time: BenchTime) -> None:
        self._name, self._probe, self._seed, self._time = name, probe, seed, time
        self._functions = CLASSES[name].functions()
        self._over = CLASSES[name].over
        self._noise = stream(seed, f"noise of the meter of class {name}")
        self._readings = 0

    @property
    def quantities(self) -> frozenset[Quantity]:
        return frozenset(self._functions)

    @property
    def volt_spans(self) -> tuple[float, ...]:
        return tuple(one.full_scale for one in self._functions[Quantity.VOLTAGE_AC].ranges)

    @property
    def range_error(self) -> float:
        return self._functions[Quantity.VOLTAGE_AC].ranges[0].accuracy.percent_of_range / 100

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        """Standard uncertainty [SI] of a reading of `value`; None where it does not read that."""
        function = self._functions.get(quantity)
        if function is None or value > function.ranges[-1].full_scale:
            return None
        here = function.range_for(value)
        parts = reading_doubt(value, here.noise, function, here, "", "", _LEADS / math.sqrt(3.0))
        return math.hypot(*(part.u * part.sensitivity for part in parts))

    def wave_of(self, quantity: Quantity) -> WaveReading:
        return true_rms(quantity)

    def take(
        self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Callable[..., None] | None = None
    ) -> Reading:
        function = self._functions[take.quantity]
        if take.expected is None:
            return self._by_itself(function, take.samples)
        try:
            here = function.range_for(take.expected)
        except Unsupported as beyond:
            raise Trouble(f"{take.step}: {beyond}") from beyond
        return self._read(function, here, take.samples)

    def _by_itself(self, function: MeterFunction, samples: int) -> Reading:
        """Left to itself the meter ends on the smallest range that holds the value."""
        for here in function.ranges[:-1]:
            reading = self._read(function, here, samples)
            if reading.value is not None:
                return reading
        return self._read(function, function.ranges[-1], samples)

    def errors(self, quantity: Quantity, here: MeterRange) -> tuple[float, float]:
        """Gain and offset of a range, each anywhere within its limit."""
        rng = stream(self._seed, f"errors of the meter of class {self._name}: {quantity} {here.full_scale:g}")
        limits = here.accuracy
        gain = 1 + limits.percent_of_reading / 100 * float(rng.uniform(-1, 1))
        return gain, limits.percent_of_range / 100 * here.full_scale * float(rng.uniform(-1, 1))

    def _read(self, function: MeterFunction, here: MeterRange, samples: int) -> Reading:
        self._readings += 1
        true = self._true(function.quantity)
        gain, offset = self.errors(function.quantity, here)

        def one() -> Measurement:
            now = self._time.pass_by(0.4)
            shown = true(now) * gain + offset + float(self._noise.normal(0.0, here.noise))
            if not abs(shown) <= self._over * here.full_scale:
                return Measurement(Overload(), "OL")
            value = round(shown / here.resolution) * here.resolution
            return Measurement(Value(value), f"{value:.9g}")

        found = measure(one, here, samples)
        tag = str(self._readings)
        doubt = (
            ()
            if found.value is None
            else reading_doubt(found.value, found.noise, function, here, self._name, tag, _LEADS / math.sqrt(3.0))
        )
        return Reading(
            quantity=function.quantity,
            value=found.value,
            state=found.state,
            instrument=self._name,
            at=_NOON + timedelta(seconds=self._time.now),
            monotonic=self._time.now,
            raw=found.raw,
            components=doubt,
            span=here.full_scale,
        )

    def _true(self, quantity: Quantity) -> Callable[[float], float]:
        match quantity:
            case Quantity.VOLTAGE_AC:
                return self._probe.voltage
            case Quantity.CURRENT_AC:
                return self._probe.current
            case Quantity.FREQUENCY:
                return self._probe.frequency
            case Quantity.RESISTANCE_4W:
                return self._probe.resistance_four_wire
            case _:
                return self._probe.resistance
