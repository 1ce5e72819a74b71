"""A procedure on the rehearsal's own physics, in process: the hand does what is asked, a meter reads without noise."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from bench.acceptance.ask import Reply, ReplyKind, ask_object, parse_reply
from bench.acceptance.context import Equipment
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import Enter, Excite, OperatorRequest, Request, Skipped, StepDone, Stopped, Take, Wait
from bench.acceptance.result import StepResult, TestResult
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile
from bench.rehearsal.control import Control, Plugs
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.faults import parse_fault
from bench.rehearsal.hand import Hand
from bench.rehearsal.probe import Probe
from bench.rehearsal.spindle import Spindle
from bench.rehearsal.variation import draw_variation
from bench.rehearsal.workbench import Workbench
from bench.whole_test import procedure_for, rules_named
from drivers.reading import Component, Quantity, Reading, State
from tests.acceptance.ideal_bench import LOADS


@dataclass
class Rehearsed:
    """gain: relative standard uncertainty that all readings of a quantity share;  noise: of each by itself;  seconds
    that an ask and a reading take;  heat_at_off [K]: of the copper when it was switched off last."""

    job: Job
    seed: int = 3
    faults: tuple[str, ...] = ()
    gain: float = 5e-4
    noise: float = 5e-5
    seconds: float = 2.0
    clock: float = 100.0
    skipped: frozenset[str] = frozenset()
    seen: list[Request] = field(default_factory=list)
    heat_at_off: float = 0.0

    def __post_init__(self) -> None:
        parsed = tuple(parse_fault(text, self.job) for text in self.faults)
        self.bench = Workbench(self.job, draw_variation(self.job, self.seed), parsed)
        self.probe = Probe(self.bench, self.seed)
        spindle = Spindle()
        plugs = Plugs(lambda name, seconds: None, lambda kelvin: None, dict, lambda: None)
        hand = Hand(self.job, self.bench, self.probe, parsed, self.seed)
        self.control = Control(hand, spindle, CounterBoard(spindle), plugs, self.seed)

    def run(self, procedure: Procedure) -> TestResult:
        request = procedure.start()
        while not isinstance(request, Finished):
            self.seen.append(request)
            request = procedure.feed(self.answer(request))
        return request.result

    def answer(self, request: Request) -> Any:
        self.clock += self.seconds
        if getattr(request, "step", None) in self.skipped:
            return Skipped("not today")
        match request:
            case StepDone():
                return None
            case Take():
                return self._reading(request.quantity)
            case _:
                return self._asked(request)

    def _asked(self, request: OperatorRequest) -> Any:
        if isinstance(request, Excite) and request.volts == 0.0:
            self.heat_at_off = self.bench.heat.copper
        ask = ask_object(request, "a")
        said = self.control.feed(0, json.dumps(ask).encode() + b"\n", self.clock)
        if not said and isinstance(request, Wait):
            self.clock += request.seconds
            ((_, said),) = self.control.poll(self.clock)
        reply: Reply = parse_reply(said.decode(), ask)
        if reply.kind is ReplyKind.STOP:
            return Stopped(reply.text)
        return reply.text if isinstance(request, Enter) else None

    def _reading(self, quantity: Quantity) -> Reading:
        at = datetime(2026, 1, 1, tzinfo=UTC)
        read = {
            Quantity.VOLTAGE_AC: self.probe.voltage,
            Quantity.CURRENT_AC: self.probe.current,
            Quantity.FREQUENCY: self.probe.frequency,
            Quantity.RESISTANCE: self.probe.resistance,
            Quantity.RESISTANCE_4W: self.probe.resistance_four_wire,
        }
        value = 0.0 if quantity is Quantity.TIME else read[quantity](self.clock)
        if value == float("inf"):
            return Reading(quantity, None, State.OVERLOAD, "rehearsed", at, self.clock)
        doubts = (Component(f"{quantity}:gain", self.gain, value), Component(f"n{self.clock}", self.noise, value))
        return Reading(quantity, value, State.GOOD, "rehearsed", at, self.clock, f"{value:.6g}", doubts)


def rehearsed(
    job: Job,
    procedure: ProcedureFile,
    *faults: str,
    seed: int = 3,
    reason: str = "",
    before: dict[str, StepResult] | None = None,
    skipped: frozenset[str] = frozenset(),
    loads: tuple[Any, ...] = LOADS,
) -> tuple[TestResult, Rehearsed]:
    """A whole test of a unit with these faults."""
    bench = Rehearsed(job, seed, faults, skipped=skipped)
    quantities = frozenset(set(Quantity) & {"voltage_ac", "current_ac", "resistance", "resistance_4w", "frequency"})
    equipment = Equipment(quantities, series_ohms=1000.0, load_resistors=loads)
    made = procedure_for(job, equipment, rules_named(), reason, procedure=procedure, before=before)
    return bench.run(made), bench
