"""A bench without noise or ports: answers a procedure's requests with what the design says a good unit reads.

A plan is made by walking a procedure against it, and tests put faults into it.  What it does not have: noise, a meter's
ranges, saturation under load, more than one temperature for all copper.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import Connect, Enter, Excite, Load, Request, Skipped, Take, Wait
from bench.acceptance.result import TestResult
from bench.job.expectation import Expectation
from bench.job.on_load import copper_at, resistor_volts
from drivers.reading import Component, Quantity, Reading, State

__all__ = ["DryBench"]

_ROOM = 293.15
_RISE_ON_LOAD = 45.0
_RISE_IDLE = 10.0
_COOLS_IN = 400.0
"""Kelvin that a good unit gets warmer by, and seconds in which it loses two thirds: invented, for a plan's sake."""

_TYPED = {
    Quantity.TEMPERATURE: "20 degC",
    Quantity.INSULATION_RESISTANCE: "500 Mohm",
    Quantity.LEAKAGE_CURRENT: "0.4 mA",
    Quantity.EARTH_RESISTANCE: "0.05 ohm",
    Quantity.STRAY_FIELD: "4 uT",
}


@dataclass
class DryBench:
    """change: may replace the value of a reading: (take, connect, value) -> value, None for overload;  typed: text by
    step, before what is usual;  skipped: steps that are skipped;  u, floor: standard uncertainty of a reading, as a
    fraction and of volts besides [V];  places: of several meters at once, each its own;  rise [K] of the copper over
    the room now."""

    expectation: Expectation
    change: Callable[[Take, Connect, float], float | None] = lambda take, connect, value: value
    typed: dict[str, str] = field(default_factory=dict)
    skipped: frozenset[str] = frozenset()
    u: float = 2e-4
    floor: float = 0.0
    connected: Connect | None = None
    places: dict[Quantity, Connect] = field(default_factory=dict)
    excited: Excite | None = None
    loads: dict[str, float] = field(default_factory=dict)
    seen: list[Request] = field(default_factory=list)
    clock: float = 0.0
    rise: float = 0.0

    @property
    def now(self) -> datetime:
        """The time of day of its readings."""
        return datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=self.clock)

    def run(self, procedure: Procedure) -> TestResult:
        request = procedure.start()
        while not isinstance(request, Finished):
            self.seen.append(request)
            request = procedure.feed(self.answer(request))
        return request.result

    def answer(self, request: Request) -> Any:
        """What the procedure is fed."""
        self._pass(1.0)
        if getattr(request, "step", None) in self.skipped:
            return Skipped("not today")
        match request:
            case Connect():
                self.connected = self.places[request.quantity] = request
            case Excite():
                self.excited = request if request.volts else None
            case Load(ohms=float(ohms)):
                self.loads[request.winding] = ohms
            case Load():
                self.loads.pop(request.winding, None)
            case Wait():
                self._pass(request.seconds)
            case Enter():
                return self.typed.get(request.step, self._usual(request))
            case Take(quantity=Quantity.TIME):
                return Reading(Quantity.TIME, 0.0, State.GOOD, "dry", self.now, self.clock)
            case Take():
                return self._reading(request)
        return None

    def _pass(self, seconds: float) -> None:
        """Warm only after a wait: the minutes of the other readings are left out."""
        self.clock += seconds
        if self.excited is None:
            self.rise *= math.exp(-seconds / _COOLS_IN)
        elif seconds >= 60.0:
            self.rise = _RISE_ON_LOAD if self.loads else _RISE_IDLE

    def _usual(self, request: Enter) -> str:
        match request.quantity:
            case Quantity.TEST_VOLTAGE:
                return f"{request.volts or 0.0:.0f} V"
            case Quantity.NOTICED:
                return "good"
            case Quantity.EQUIPMENT_CLASS:
                return "I"
            case Quantity.LOAD_RESISTANCE:
                return f"{request.expected or 0.0:.3g} ohm"
            case Quantity.FUSE:
                return f"{request.expected or 1.0:.3g} A"
            case Quantity.STACK_HEIGHT:
                return f"{(self.expectation.stack or 1.0) * 1e3:.4g} mm"
            case Quantity.TIME:
                return f"{self.clock % 600 + 1:.0f} s"
            case Quantity.TEMPERATURE if request.place == "core":
                return f"{20 + 0.8 * self.rise:.1f} degC"
            case quantity:
                return _TYPED.get(quantity, "1")

    def _reading(self, take: Take) -> Reading:
        assert self.connected is not None
        place = self.connected if self.connected.quantity is take.quantity else self.places[take.quantity]
        value = self.change(take, place, self._value(take.quantity, place))
        at = self.now
        if value is None:
            return Reading(take.quantity, None, State.OVERLOAD, "dry", at, self.clock)
        u = max(abs(value) * self.u, 1e-9, self.floor if take.quantity is Quantity.VOLTAGE_AC else 0.0)
        return Reading(
            take.quantity, value, State.GOOD, "dry", at, self.clock, f"{value:.6g}", (Component(f"n{self.clock}", u),)
        )

    def _value(self, quantity: Quantity, connect: Connect) -> float:
        volts = self.excited.volts if self.excited is not None else 0.0
        match quantity:
            case Quantity.FREQUENCY:
                return self.expectation.frequency
            case Quantity.RESISTANCE | Quantity.RESISTANCE_4W:
                return self._ohms(connect)
            case Quantity.CURRENT_AC:
                assert self.expectation.curve is not None
                return self.expectation.curve.current_at(volts)
            case _:
                return self._volts(connect, volts)

    def _ohms(self, connect: Connect) -> float:
        if connect.from_terminal == connect.to_terminal:
            return 0.0
        if connect.from_terminal == "earth.lead":
            return 0.08
        if connect.to_terminal.endswith(".far_lead"):
            return self.expectation.screen_ohms[connect.winding]
        span = next(s for s in self.expectation.spans.values() if _joins(s, connect))
        return 1.0 if span.resistance is None else span.resistance * copper_at(_ROOM + self.rise)

    def _volts(self, connect: Connect, volts: float) -> float:
        curve = self.expectation.curve
        series = self.excited.series_ohms if self.excited is not None else None
        if series is not None:
            assert curve is not None
            current, watts = curve.current_at(volts), curve.watts_at(volts)
            copper = self.expectation.fed_span.resistance or 0.0
            across = current * series
            if connect.to_terminal == "resistor.winding":
                return across
            if connect.from_terminal == "resistor.supply":
                return math.sqrt(volts**2 + across**2 + 2 * series * (watts + current**2 * copper))
            return volts
        if connect.to_terminal.endswith(".far_lead"):
            return self._induced(volts, 1.0)
        if connect.links:
            return self._in_series(connect, volts)
        span = next(s for s in self.expectation.spans.values() if _joins(s, connect))
        if span.winding == self.expectation.fed:
            return volts
        if span.whole and span.winding in self.loads:
            return resistor_volts(self.expectation, self.loads, volts, copper_at(_ROOM + self.rise))[span.name]
        return volts * abs(self.expectation.ratio(span.name)) * (1 - self.expectation.drop(volts))

    def _induced(self, volts: float, turns: float) -> float:
        return volts * (1 - self.expectation.drop(volts)) * turns / abs(self.expectation.fed_span.turns)

    def _in_series(self, connect: Connect, volts: float) -> float:
        """Two windings, one end of each joined: each from its free end to the link, the primary without its drop."""
        ((one, other),) = connect.links
        total = 0.0
        for free, linked, sign in ((connect.from_terminal, one, 1.0), (connect.to_terminal, other, -1.0)):
            winding = free.partition(".")[0]
            assert linked.partition(".")[0] == winding, f"{linked} is no other end of {free}"
            span = self.expectation.spans[winding]
            along = span.turns * (1 if (free, linked) == (span.from_terminal, span.to_terminal) else -1)
            fed = winding == self.expectation.fed
            total += sign * (volts * along / abs(along) if fed else self._induced(volts, along))
        return abs(total)


def _joins(span: Any, connect: Connect) -> bool:
    return bool((span.from_terminal, span.to_terminal) == (connect.from_terminal, connect.to_terminal))
