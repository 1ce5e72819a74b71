"""Runs over real pseudo-terminals: the host is killed, the port pulled and given another name, the board loses power.

This process has the board and the truth; the host is another one (host.py) that is told nothing of it. A run goes in
legs, each with one such event while the spindle turns, and ends at rest; where the count is not certain then, somebody
counts the turns and sets it.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import pickle
import random
import select
import signal
import subprocess
import sys
import tempfile
import time
import tty
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from .board import Cable, SimulatedBoard
from .spindle import Piece, Wheel, random_course
from .virtual import Kind, tag_of

__all__ = ["EVENTS", "PtyOutcome", "run_through_ptys"]

EVENTS = ("kill", "unplug", "reset")
_SPEED = 12.0
_EPSILON = 1e-6
_PATIENCE_S = 30.0


@dataclass
class PtyOutcome:
    """What came of a run over a port.  warned: legs with a warning in which nothing was lost;  widths: of the interval
    at the end of each leg, infinite where the count was broken."""

    seed: int
    turns: float = 0.0
    events: dict[str, int] = field(default_factory=dict)
    shown: int = 0
    wrong: int = 0
    legs: int = 0
    warned: int = 0
    widths: list[float] = field(default_factory=list)
    first_wrong: str = ""


def run_through_ptys(kind: Kind, seed: int, legs: int, turns_of_leg: float) -> PtyOutcome:
    """One run; raises RuntimeError where the host never says where it stands."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        bench = _Bench(kind, rng, Path(folder), PtyOutcome(seed))
        try:
            for leg in range(legs):
                bench.leg(EVENTS[(seed + leg) % len(EVENTS)], turns_of_leg)
        finally:
            bench.close()
        return bench.outcome


class _Bench:
    """Board, cable, port, host and judge of a run."""

    def __init__(self, kind: Kind, rng: random.Random, folder: Path, outcome: PtyOutcome) -> None:
        self.kind, self.rng, self.folder, self.outcome = kind, rng, folder, outcome
        self.wheel = Wheel(rng.randint(1, 4), kind.sensors, rng.uniform(0.42, 0.58), rng.uniform(0.2, 0.3))
        self.board = SimulatedBoard(self.wheel, rng, loop_us=5000)
        self.cable = Cable(rng)
        (folder / "ports").mkdir()
        (folder / "profile").write_bytes(pickle.dumps(kind.profile(self.wheel.per)))
        self.began = time.monotonic()
        self.master = self.slave = -1
        self.named = folder / "ports" / "a"
        self.truth: dict[str, int] = {}
        self.sent: dict[str, int] = {}
        self.number = 0
        self.origin: float | None = None
        self.last: dict[str, Any] | None = None
        self.listening = False
        self.warnings = 0
        self.powered = True
        self.offset = (0.0, 0.003)  # time and place at which the next leg begins
        self.plug()
        self.host = self.start_host()
        self._said = b""
        self._await_host()

    # -- what happens ------------------------------------------------------------------------------

    def leg(self, event: str, turns: float) -> None:
        """Turn, with one event on the way; then stand until the host says where it stands."""
        self.outcome.legs += 1
        self.outcome.events[event] = self.outcome.events.get(event, 0) + 1
        warned_before, lost = self.warnings, event == "reset"
        due, undone = self.rng.uniform(0.1, 0.8) * turns, None
        gone, t0, place0 = 0.0, *self.offset
        for piece in random_course(turns, self.rng):
            moved = replace(piece, start=piece.start + t0, place=piece.place + place0)
            for t in self.turn(moved):
                if undone is not None and t >= undone[0]:
                    undone[1]()
                    undone = None
                if event and gone + abs(moved.at(t) - moved.place) >= due:
                    undone = (t + self.rng.uniform(0.3, 6.0), self.do(event))
                    event = ""
            gone += abs(moved.end - moved.place)
            self.offset = (moved.start + moved.seconds, moved.end)
        if undone is not None:
            undone[1]()
        self.outcome.turns += gone
        self.settle()
        self.outcome.warned += self.warnings > warned_before and not lost

    def do(self, event: str) -> Any:
        """Begin an event; what ends it again."""
        match event:
            case "kill":
                self.host.send_signal(signal.SIGKILL)
                self.host.wait()
                self.drain()
                self.listening = False
                return self.restart_host
            case "unplug":
                self.unplug()
                return self.plug
            case "reset":
                self.powered = False
                return self.power_up
        raise ValueError(event)

    def restart_host(self) -> None:
        self._close_host_pipes()
        self._said = b""
        self.host = self.start_host()

    def power_up(self) -> None:
        self.board.start(self.board._next_us)
        self.powered = True

    def turn(self, piece: Piece) -> Iterator[float]:
        """The spindle goes on as time does; times of lines."""
        ticks = _ticks(piece)
        for t, line, edges in self.board.run(piece):
            for tick in ticks.up_to(t):
                self.wait_for(tick)
                yield tick
            self.wait_for(t)
            self.send(line, edges)
            yield t
        for tick in ticks.up_to(piece.start + piece.seconds):
            self.wait_for(tick)
            yield tick

    def settle(self) -> None:
        """Stand until the host has shown where it stands, and set the count where it is not certain."""
        give_up = time.monotonic() + _PATIENCE_S
        self.last = None
        since = len(self.sent)
        while not self.knows_where_it_stands(since):
            if time.monotonic() > give_up:
                raise RuntimeError(f"seed {self.outcome.seed}: the host never said where it stands; last {self.last}")
            self.stand(0.5)
        assert self.last is not None
        low, high = self.last["low"], self.last["high"]
        width = math.inf if low is None or high is None else high - low
        self.outcome.widths.append(width)
        if width > _EPSILON:
            assert self.origin is not None
            assert self.host.stdin is not None
            truth = self.board.true_edges / self.wheel.per - self.origin
            self.host.stdin.write(f"set {truth!r}\n".encode())
            self.host.stdin.flush()
            while not (self.last and self.last["low"] == self.last["high"] == self.last["turns"]):
                if time.monotonic() > give_up:
                    raise RuntimeError(f"seed {self.outcome.seed}: the count was not set; last {self.last}")
                self.stand(0.5)

    def _await_host(self) -> None:
        give_up = time.monotonic() + _PATIENCE_S
        while not self.listening:
            if time.monotonic() > give_up:
                raise RuntimeError(f"seed {self.outcome.seed}: the host did not start")
            self.stand(0.5)

    def stand(self, seconds: float) -> None:
        t, place = self.offset
        for _ in self.turn(Piece(t, place, 0.0, 0.0, seconds)):
            pass
        self.offset = (t + seconds, place)

    def knows_where_it_stands(self, since: int) -> bool:
        """Whether it has shown a line that was sent since the spindle stands: an earlier one may say the same place."""
        if self.last is None:
            return False
        key = self.key(self.last["raw"])
        return self.sent.get(key, -1) >= since and self.truth[key] == self.board.true_edges

    # -- port and host -----------------------------------------------------------------------------

    def plug(self) -> None:
        """The port is there, now and then under another name."""
        self.master, self.slave = os.openpty()
        tty.setraw(self.slave)
        os.set_blocking(self.master, False)
        self.named = self.folder / "ports" / self.rng.choice("aab")
        self.named.symlink_to(os.ttyname(self.slave))

    def unplug(self) -> None:
        self.named.unlink()
        os.close(self.slave)
        os.close(self.master)
        self.master = self.slave = -1

    def start_host(self) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "tests.campaigns.counting.host", str(self.named)]
        command += [str(self.folder), str(_SPEED), str(self.folder / "profile")]
        return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def close(self) -> None:
        self.host.kill()
        self.host.wait()
        self._close_host_pipes()
        if self.master >= 0:
            self.unplug()

    def _close_host_pipes(self) -> None:
        for pipe in (self.host.stdin, self.host.stdout):
            if pipe is not None:
                pipe.close()

    def send(self, line: bytes, edges: int) -> None:
        data = self.told(line, edges)
        if data is None or self.master < 0 or not self.powered:
            return
        with contextlib.suppress(OSError):  # nobody reads, and the port is full: the line is lost
            os.write(self.master, self.cable.carry(data))

    def told(self, line: bytes, edges: int) -> bytes | None:
        """The line as this kind of counter sends it."""
        if not self.kind.plain:
            self.remember(line[:-1].decode(), edges)
            return line
        if not line.startswith(b"hall 1 "):
            return None
        self.number += 1
        tag = tag_of(self.number)
        self.remember(tag, edges)
        return line.split()[5] + b" " + tag.encode() + b"\n"

    def remember(self, key: str, edges: int) -> None:
        self.truth[key] = edges
        self.sent[key] = len(self.sent)

    def key(self, raw: str) -> str:
        return raw.rpartition(" ")[2] if self.kind.plain else raw

    def wait_for(self, t: float) -> None:
        """Until the time of the run has come; meanwhile the host and its commands to the board are listened to."""
        while True:
            left = self.began + t / _SPEED - time.monotonic()
            watched = [each for each in (self.master, self.host.stdout) if each not in (-1, None)]
            ready, _, _ = select.select(watched, [], [], max(0.0, left))
            if self.master in ready:
                try:
                    self.board.hardware.heard += os.read(self.master, 4096)
                except OSError:
                    time.sleep(min(0.005, max(0.0, left)))  # the host has not opened it
            if self.host.stdout in ready:
                self.drain()
            if left <= 0:
                return

    def drain(self) -> None:
        assert self.host.stdout is not None
        data = os.read(self.host.stdout.fileno(), 1 << 16) if self.host.poll() is None else self.host.stdout.read()
        if not data and self.host.poll() is not None and self.host.returncode > 0:
            raise RuntimeError(f"seed {self.outcome.seed}: the host ended with {self.host.returncode}")
        *lines, self._said = (self._said + data).split(b"\n")
        for line in lines:
            self.judge(json.loads(line))

    def judge(self, said: dict[str, Any]) -> None:
        if "event" in said:
            self.listening = self.listening or said["event"] == "listening"
            self.warnings += said["event"] in ("Bounded", "Broken")
            return
        self.last = said
        edges = self.truth.get(self.key(said["raw"]))
        if edges is None:
            if not self.kind.plain:
                self.say_wrong(f"never sent: {said}")
            return
        self.outcome.shown += 1
        truth = edges / self.wheel.per
        if self.origin is None:
            self.origin = truth - said["turns"]
        low = -math.inf if said["low"] is None else said["low"]
        high = math.inf if said["high"] is None else said["high"]
        if not low - _EPSILON <= truth - self.origin <= high + _EPSILON:
            self.say_wrong(f"{said}, true {truth - self.origin}")

    def say_wrong(self, what: str) -> None:
        self.outcome.wrong += 1
        self.outcome.first_wrong = self.outcome.first_wrong or what


class _Ticks:
    """Times each few milliseconds of a piece, so that events and waits don't hang on lines."""

    def __init__(self, start: float) -> None:
        self._next = start + 0.05

    def up_to(self, t: float) -> Iterator[float]:
        while self._next <= t:
            yield self._next
            self._next += 0.05


def _ticks(piece: Piece) -> _Ticks:
    return _Ticks(piece.start)
