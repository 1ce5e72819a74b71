"""A whole acceptance test in a second: the real procedure, session, record and bridge, and a dry bench that answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.dry_bench import DryBench
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.meters_by_role import role_of
from bench.acceptance.requests import Connect, Enter, Excite, OperatorRequest, Request, Take, Trouble
from bench.acceptance.session import TestSession
from bench.dashboard import news as told
from bench.dashboard.pictures.still_desk import NOW
from bench.dashboard.state import Snapshot, advance
from bench.dashboard.work.bridge import Bridge
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.records.entry import Kind
from bench.records.store import Store
from bench.whole_test import equipment_of, procedure_for, rules_named
from drivers.reading import Quantity, Reading

__all__ = ["Moment", "dry_sitting"]

_READ = frozenset({Quantity.VOLTAGE_AC, Quantity.CURRENT_AC, Quantity.RESISTANCE, Quantity.FREQUENCY})
Change = Callable[[Take, Connect, float], float | None]


@dataclass(frozen=True)
class Moment:
    """What was just told, and what the window knows then; request: None at the beginning and at the end."""

    request: Request | None
    state: Snapshot


def dry_sitting(
    job: Job,
    bench: BenchFile,
    start: Snapshot,
    store: Store,
    *,
    uses: tuple[tuple[str, str], ...] = (("", "scpi@/dev/ttyUSB0"),),
    change: Change = lambda take, connect, value: value,
    typed: dict[str, str] | None = None,
    lost_at: str = "",
) -> list[Moment]:
    """Every moment of one test.  uses: role and address of the meters;  change, typed: as a `DryBench` takes them;
    lost_at: the step in which the meter goes away."""
    bridge = Bridge(clock=lambda: NOW)
    moments = _Moments(bridge, start)
    meter = _Meter(moments, uses, lost_at)
    procedure = procedure_for(job, equipment_of(job, bench, meter), rules_named())
    dry = meter.dry = DryBench(procedure.context.expectation, change=change, typed=typed or {})
    number = job.identity.number

    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(number, Kind(kind), body)

    store.append(number, Kind.TEST_BEGUN, {"procedure": "before-varnish"})
    bridge.tell(told.WorkBegun("test"))
    bridge.tell(told.InstrumentsChosen("meter", uses))
    bridge.test_begun(procedure)
    for role, use in uses:
        bridge.tell(told.InstrumentOpened("meter", meter.identity, role=role, address=use))
    moments.note(None)
    result = TestSession(procedure, _Person(dry, bridge, moments), meter, keep, (bridge,)).run()
    bridge.finished(result)
    bridge.tell(told.WorkEnded("test"))
    moments.note(None)
    return moments.all


class _Moments:
    def __init__(self, bridge: Bridge, start: Snapshot) -> None:
        self._bridge, self.state = bridge, start
        self.all: list[Moment] = []

    def note(self, request: Request | None) -> None:
        for news, at in self._bridge.drain():
            self.state = advance(self.state, news, at)
        self.all.append(Moment(request, self.state))


class _Person:
    """Does all that is asked, and types what is due."""

    def __init__(self, dry: DryBench, bridge: Bridge, moments: _Moments) -> None:
        self._dry, self._bridge, self._moments = dry, bridge, moments
        self._asked = 0

    def ask(self, request: OperatorRequest) -> Reply:
        self._asked += 1
        keyless = isinstance(request, Excite) and request.hazard > HANDS_OFF_VOLTS
        self._bridge.tell(told.Awaits(self._asked, request, keyless=keyless))
        self._moments.note(request)
        answer = self._dry.answer(request)
        if not keyless:
            self._bridge.tell(told.Answered(self._asked))
        return Reply(ReplyKind.VALUE, str(answer)) if isinstance(request, Enter) else Reply(ReplyKind.DONE)


class _Meter:
    """An instrument that reads what the dry bench says, and settles on the way."""

    quantities = _READ
    volt_spans = (0.2, 2.0, 20.0, 200.0, 750.0)
    range_error = 5e-4
    test_currents = ((200.0, 1e-3), (2000.0, 1e-3))
    identity = "Example Works,BENCH METER 4,0417,1.2"
    moves_by_hand = False

    dry: DryBench

    def __init__(self, moments: _Moments, uses: tuple[tuple[str, str], ...], lost_at: str) -> None:
        self._moments, self._uses, self._lost_at = moments, dict(uses), lost_at

    @property
    def at_once(self) -> bool:
        return "volts" in self._uses and "amps" in self._uses

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        return abs(value) * 2e-3

    def wave_of(self, quantity: Quantity) -> WaveReading:
        return WaveReading()

    def take(self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Any = None) -> Reading:
        use = self._use(take.quantity)
        if take.step == self._lost_at:
            self._moments.note(take)
            raise Trouble(f"{take.step}: {use}: the line went away: plug it in again, then read the step again")
        reading: Reading = self.dry.answer(take)
        if seen is not None and reading.value is not None:
            for share, words in ((0.82, "settling"), (0.97, "settling"), (1.0, "standing still")):
                seen(reading.value * share, words)
                self._moments.note(take)
        return Reading(
            reading.quantity, reading.value, reading.state, use, reading.at, reading.monotonic, reading.raw,
            reading.components,
        )  # fmt: skip

    def _use(self, quantity: Quantity) -> str:
        return self._uses.get(role_of(quantity)) or self._uses.get("") or next(iter(self._uses.values()))
