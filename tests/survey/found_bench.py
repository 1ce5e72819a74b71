"""A bench without noise or ports for a unit as found: answers the machine with what its true turns give."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from bench.acceptance.context import Equipment
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, Request, Skipped, StepDone, Take
from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.survey.reading import AsFoundReading, ReadingDone, ReadingSummary
from bench.survey.reading_context import Kept, ReadingContext
from drivers.reading import Component, Quantity, Reading, State
from tests.survey.units import RULES, TRUE, a_job

ALL = frozenset({Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE, Quantity.FREQUENCY})
OHMS = {"primary": 3.42, "ht": 176.0, "rectifier": 0.062, "heater": 0.049}
PLATES = {"primary": "117 V", "ht": "500 V", "rectifier": "5 V", "heater": "6.3 V"}


def found_unit(plates: dict[str, str] | None = None, **more: Any) -> AsFound:
    """The coastal receiver's windings as found, with their plates and no count."""
    told = PLATES if plates is None else plates
    windings = [
        {
            "name": name,
            "role": "primary" if name == "primary" else "secondary",
            **({"nameplate_voltage": told[name]} if name in told else {}),
            **({"taps": [{"name": "centre", "turn": 646}]} if name == "ht" else {}),
        }
        for name in TRUE
    ]
    return AsFound.model_validate({"winding": windings, **more})


def new_reading(
    found: AsFound | None = None, *, job: Job | None = None, reason: str = "", hertz: float = 50.0, **equipment: Any
) -> AsFoundReading:
    usual = {"quantities": ALL, "volt_spans": (0.1, 1.0, 10.0, 100.0, 750.0)}
    context = ReadingContext(job or a_job(), found or found_unit(), Equipment(**{**usual, **equipment}), RULES, hertz)
    return AsFoundReading(context, reason)


def _amps(volts: float) -> float:
    """Exciting current of a core whose knee lies at 110 V, rising threefold beyond."""
    return 1e-3 * volts * (1 + (volts / 110) ** 6)


@dataclass
class FoundBench:
    """turns, ohms: in truth, by the true winding;  leads: the true winding behind each that is marked;  change: may
    replace the value of a reading, None for overload;  holds: share of its volts that the fed winding takes."""

    turns: dict[str, float] = field(default_factory=lambda: dict(TRUE))
    ohms: dict[str, float] = field(default_factory=lambda: dict(OHMS))
    leads: dict[str, str] = field(default_factory=dict)
    change: Callable[[Take, Connect, float], float | None] = lambda take, connect, value: value
    typed: dict[str, str] = field(default_factory=dict)
    skipped: frozenset[str] = frozenset()
    holds: float = 1.0
    frequency: float = 50.0
    amps: Callable[[float], float] = _amps
    connected: Connect | None = None
    excited: Excite | None = None
    seen: list[Request] = field(default_factory=list)
    clock: float = 0.0

    def run(self, reading: AsFoundReading) -> ReadingSummary:
        request = reading.start()
        while not isinstance(request, ReadingDone):
            self.seen.append(request)
            request = reading.feed(self.answer(request))
        return request.summary

    @property
    def kept(self) -> list[tuple[str, dict[str, Any]]]:
        """What was given to the record, in its order."""
        kept = [one.result for one in self.seen if isinstance(one, StepDone)]
        return [(one.kind, one.body) for one in kept if isinstance(one, Kept)]

    def feeds(self, source: str = "") -> list[Excite]:
        """Volts that were asked for."""
        fed = [one for one in self.seen if isinstance(one, Excite) and one.volts > 0]
        return [one for one in fed if source in ("", one.source)]

    def highest(self, request: Excite) -> float:
        """Volts in truth on any winding [V], whatever its leads are marked."""
        fed = self.turns[self.true(request.winding)]
        return request.volts * max(1.0, *(turns / fed for turns in self.turns.values()))

    def true(self, name: str) -> str:
        return self.leads.get(name, name)

    def answer(self, request: Request) -> Any:
        self.clock += 1.0
        if getattr(request, "step", None) in self.skipped:
            return Skipped("not today")
        match request:
            case Connect():
                self.connected = request
            case Excite():
                self.excited = request if request.volts else None
            case Enter():
                return self.typed.get(request.step, "20 degC" if request.step == "found:temperature" else "85 Mohm")
            case Take():
                return self._reading(request)
        return None

    def _reading(self, take: Take) -> Reading:
        assert self.connected is not None
        value = self.change(take, self.connected, self._value(take, self.connected))
        at = datetime(2026, 1, 1, tzinfo=UTC)
        if value is None:
            return Reading(take.quantity, None, State.OVERLOAD, "ideal", at, self.clock)
        parts = (Component("ideal:gain", 5e-4, value), Component(f"n{self.clock}", max(abs(value) * 1e-5, 1e-9)))
        return Reading(take.quantity, value, State.GOOD, "ideal", at, self.clock, f"{value:.6g}", parts)

    def _value(self, take: Take, connect: Connect) -> float:
        fed = self.excited
        volts = 0.0 if fed is None else fed.volts * self.holds
        if take.quantity is Quantity.FREQUENCY:
            return self.frequency
        if take.quantity in (Quantity.RESISTANCE, Quantity.RESISTANCE_4W):
            return 0.0 if connect.from_terminal == connect.to_terminal else self._ohms(connect)
        if fed is None:
            return 0.0
        if take.quantity is Quantity.CURRENT_AC:
            return self.amps(volts)
        if fed.series_ohms is not None:
            current = self.amps(volts) / (1 + fed.series_ohms * self.amps(volts) / volts)
            across = current * fed.series_ohms
            return across if connect.from_terminal == "resistor.supply" else volts - across
        if connect.winding == fed.winding:
            return volts
        return volts * 0.996 * self._turns(connect) / self.turns[self.true(fed.winding)]

    def _ohms(self, connect: Connect) -> float:
        return self.ohms[self.true(connect.winding)] * self._share(connect)

    def _turns(self, connect: Connect) -> float:
        return self.turns[self.true(connect.winding)] * self._share(connect)

    def _share(self, connect: Connect) -> float:
        """A section is half of its winding."""
        return 1.0 if {connect.from_terminal, connect.to_terminal} == {
            f"{connect.winding}.start", f"{connect.winding}.finish"
        } else 0.5  # fmt: skip


class Watch:
    """Follows a reading and fails on the first request that could hurt."""

    def __init__(self, reading: AsFoundReading) -> None:
        self.context = reading.context
        self.live = 0.0
        self.confirmed = False
        self.unplugged = False
        self.fed = False

    def see(self, request: Request | ReadingDone) -> None:
        match request:
            case Connect():
                assert self.live <= HANDS_OFF_VOLTS, f"{request.step}: leads moved with {self.live:.0f} V on the unit"
            case Confirm(step="found:first_power"):
                self.confirmed = True
            case Confirm(step="found:end"):
                self.unplugged = True
            case Excite(volts=0.0):
                self.live = 0.0
            case Excite(source="low voltage"):
                assert request.hazard <= HANDS_OFF_VOLTS
                self.live, self.fed = request.hazard, True
            case Excite():
                assert self.confirmed, "mains before first power was confirmed"
                names = {one.name for one in self.context.found.winding} - {request.winding}
                known = {name for name in names if name in self.context.ratios}
                untold = {n for n in names - known if (s := self.context.step_ups[n]) is None or s.expected is None}
                assert not untold, f"mains with the ratio of {untold} unknown"
                self.live, self.fed = request.hazard, True
            case ReadingDone():
                assert self.live == 0.0, "the reading ended with the unit live"
                assert self.unplugged or not self.fed
