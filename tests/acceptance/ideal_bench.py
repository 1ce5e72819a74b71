"""A bench without noise or ports: answers a procedure's requests with what the design says a good unit reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from bench.acceptance.context import Equipment, Wound
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import Connect, Enter, Excite, Request, Skipped, Take
from bench.acceptance.result import TestResult
from bench.job.expectation import Expectation
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from bench.whole_test import procedure_for, rules_named
from drivers.reading import Component, Quantity, Reading, State

ALL = frozenset(
    {Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE, Quantity.RESISTANCE_4W, Quantity.FREQUENCY}
)


def coastal_receiver() -> Job:
    return read_job(example_job("coastal-receiver"))


def new_procedure(job: Job | None = None, wound: Mapping[str, Wound] | None = None, **equipment: Any) -> Procedure:
    stands = Equipment(**{"quantities": ALL, "series_ohms": 1000.0, **equipment})
    return procedure_for(job or coastal_receiver(), stands, rules_named(), wound=wound)


@dataclass
class IdealBench:
    """`change` may replace the value of a reading: (take, connect, value) -> value, None for overload.

    u, floor: standard uncertainty of a reading, as a fraction and of volts besides [V].
    """

    expectation: Expectation
    change: Callable[[Take, Connect, float], float | None] = lambda take, connect, value: value
    typed: dict[str, str] = field(default_factory=dict)
    skipped: frozenset[str] = frozenset()
    u: float = 2e-4
    floor: float = 0.0
    connected: Connect | None = None
    places: dict[Quantity, Connect] = field(default_factory=dict)  # of several meters at once, each its own
    excited: Excite | None = None
    seen: list[Request] = field(default_factory=list)
    clock: float = 0.0

    @property
    def now(self) -> datetime:
        return datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=self.clock)

    def run(self, procedure: Procedure) -> TestResult:
        request = procedure.start()
        while not isinstance(request, Finished):
            self.seen.append(request)
            request = procedure.feed(self.answer(request))
        return request.result

    def answer(self, request: Request) -> Any:
        self.clock += 1.0
        if getattr(request, "step", None) in self.skipped:
            return Skipped("not today")
        match request:
            case Connect():
                self.connected = self.places[request.quantity] = request
            case Excite():
                self.excited = request if request.volts else None
            case Enter():
                usual = {"temperature": "20 degC", "stack_height": "45 mm"}
                return self.typed.get(request.step, usual.get(request.step, "500 Mohm"))
            case Take():
                return self._reading(request)
        return None

    def _reading(self, take: Take) -> Reading:
        assert self.connected is not None
        place = self.connected if self.connected.quantity is take.quantity else self.places[take.quantity]
        value = self.change(take, place, self._value(take.quantity, place))
        at = self.now
        if value is None:
            return Reading(take.quantity, None, State.OVERLOAD, "ideal", at, self.clock)
        u = max(abs(value) * self.u, 1e-9, self.floor if take.quantity is Quantity.VOLTAGE_AC else 0.0)
        return Reading(
            take.quantity, value, State.GOOD, "ideal", at, self.clock, f"{value:.6g}", (Component(f"n{self.clock}", u),)
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
        return 1.0 if span.resistance is None else span.resistance

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
        fed = span.winding == self.expectation.fed
        return volts * (1.0 if fed else abs(self.expectation.ratio(span.name)) * (1 - self.expectation.drop(volts)))

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


def run_ideal(
    job: Job | None = None, equipment: dict[str, Any] | None = None, **bench: Any
) -> tuple[TestResult, IdealBench]:
    """A whole test on an ideal bench, with its result and what was asked."""
    procedure = new_procedure(job, **(equipment or {}))
    ideal = IdealBench(procedure.context.expectation, **bench)
    return ideal.run(procedure), ideal
