"""The rehearsal as a process: one loop that carries bytes between the ports and what stands behind them."""

from __future__ import annotations

import contextlib
import os
import select
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from bench.job.model import Job
from bench.rehearsal.clock import BenchClock
from bench.rehearsal.control import Control, Plugs
from bench.rehearsal.counter_server import CounterBoard
from bench.rehearsal.faults import Fault
from bench.rehearsal.hand import Hand
from bench.rehearsal.meter_errors import MeterErrors
from bench.rehearsal.meter_server import MeterServer
from bench.rehearsal.ports import Port, PtyPort, SocketPort
from bench.rehearsal.probe import Probe
from bench.rehearsal.spindle import Spindle
from bench.rehearsal.truth import truth_document
from bench.rehearsal.variation import Variation
from bench.rehearsal.workbench import Workbench

__all__ = ["Rehearsal", "open_pseudo_terminals", "open_sockets", "serve_until_told", "stop_on_signals"]

_WAIT_MOVING = 0.004  # s between looks at a spindle that turns
_WAIT_IDLE = 0.020
_PORT_NAMES = ("meter", "counter", "control")


class Rehearsal:
    """One simulated bench with its three ports; `step` does what is due, `running` tells when it was told to end."""

    def __init__(
        self,
        job: Job,
        variation: Variation,
        faults: tuple[Fault, ...],
        ports: dict[str, Port],
        clock: BenchClock,
        sensors: int = 2,
    ) -> None:
        seed = variation.seed
        self.running = True
        self._ports, self._clock, self._faults = ports, clock, faults
        self._bench = Workbench(job, variation, faults)
        probe = Probe(self._bench, seed)
        self._spindle = Spindle()
        # a number that no board before it had, as one has that keeps it in flash
        boot = time.time_ns() // 1_000_000 % (1 << 29) + 1
        self._board = CounterBoard(self._spindle, sensors=sensors, boot=boot)
        self._meter = MeterServer(probe, MeterErrors(seed))
        hand = Hand(job, self._bench, probe, faults, seed)
        plugs = Plugs(self._unplug, self._set_temperature, self._truth, self.stop)
        self._control = Control(hand, self._spindle, self._board, plugs, seed)
        self._back_at: dict[str, float] = {}

    @property
    def addresses(self) -> dict[str, str]:
        """How the instruments are named: PROFILE@PORT, and the bare control port."""
        return {
            "meter": f"scpi@{self._ports['meter'].name}",
            "counter": f"hall@{self._ports['counter'].name}",
            "control": self._ports["control"].name,
        }

    def stop(self) -> None:
        """End after the present step."""
        self.running = False

    def step(self) -> None:
        """Wait a little for bytes, then send whatever is due."""
        owners = {handle: name for name, port in self._ports.items() for handle in port.handles()}
        # Nobody can tell this loop that a pty or socket was closed by its own unplug: handles are asked for anew.
        ready, _, _ = select.select(list(owners), [], [], self._patience())
        for handle in ready:
            data = self._ports[owners[handle]].receive(handle)
            self._take(owners[handle], handle, data)
        now = self._clock.now()
        self._ports["meter"].send(self._meter.poll(now))
        self._ports["counter"].send(self._board.advance(now))
        for client, line in self._control.poll(now):
            self._ports["control"].send(line, client)
        for name, due in list(self._back_at.items()):
            if now >= due:
                del self._back_at[name]
                self._ports[name].plug()

    def _take(self, name: str, handle: int, data: bytes | None) -> None:
        now = self._clock.now()
        if data is None:
            if name == "control":
                self._control.forget(handle)
            elif name == "meter":
                self._meter.forget()
        elif name == "meter":
            self._meter.feed(data)
        elif name == "counter":
            self._board.feed(data)
        else:
            self._ports["control"].send(self._control.feed(handle, data, now), handle)

    def _patience(self) -> float:
        """Seconds of real time until something must be looked at."""
        wait = _WAIT_IDLE if self._spindle.stands_from() is None else _WAIT_MOVING
        if self._meter.due is not None:
            wait = min(wait, max(0.0, (self._meter.due - self._clock.now()) / self._clock.speed))
        return wait

    def _unplug(self, name: str, seconds: float) -> None:
        self._ports[name].unplug()
        if name == "meter":
            self._meter.forget()
        self._back_at[name] = self._clock.now() + seconds

    def _set_temperature(self, kelvin: float) -> None:
        self._bench.temperature = kelvin

    def _truth(self) -> dict[str, object]:
        return truth_document(self._bench, self._spindle, self._board, self._faults, self._clock.now())


@contextlib.contextmanager
def open_pseudo_terminals() -> Iterator[dict[str, Port]]:
    """Three pseudo-terminals in a private folder that is gone afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="turnproof-rehearsal-"))
    ports: dict[str, Port] = {}
    try:
        for name in _PORT_NAMES:
            ports[name] = PtyPort(folder / name)
        yield ports
    finally:
        for port in ports.values():
            port.close()
        shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def open_sockets() -> Iterator[dict[str, Port]]:
    """Three listeners on this machine."""
    ports: dict[str, Port] = {name: SocketPort() for name in _PORT_NAMES}
    try:
        yield ports
    finally:
        for port in ports.values():
            port.close()


def stop_on_signals(rehearsal: Rehearsal) -> None:
    """End in good order on SIGTERM and SIGINT."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: rehearsal.stop())


def serve_until_told(rehearsal: Rehearsal, parent: int) -> None:
    """Serve until `stop`, or until `parent`, the process that started this one, is gone.

    The parent is asked for before the ports are told: whoever has read them may be gone the next moment.
    """
    looked = time.monotonic()
    while rehearsal.running:
        rehearsal.step()
        if time.monotonic() - looked > 0.2:
            looked = time.monotonic()
            if os.getppid() != parent:
                rehearsal.stop()
