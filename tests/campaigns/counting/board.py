"""The board's own program on switches whose truth is known, and a cable that loses, doubles and damages."""

from __future__ import annotations

import random
import sys
import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from .spindle import Piece, Wheel

__all__ = ["Cable", "SimulatedBoard"]

_FIRMWARE = Path(__file__).resolve().parents[3] / "drivers" / "firmware"
_ROUND = 1 << 30


def _program() -> Any:
    if str(_FIRMWARE) not in sys.path:
        sys.path.insert(0, str(_FIRMWARE))
    import program

    return program.Program


class _Hardware:
    """Levels, clock and line of a board."""

    board = "C1"

    def __init__(self, boot: int, levels: int) -> None:
        self.boot = boot
        self.levels = levels
        self.t_us = 0
        self.sent: list[bytes] = []
        self.heard = b""

    def on_change(self, handler: Any) -> None: ...

    def read_a(self) -> int:
        return self.levels & 1

    def read_b(self) -> int:
        return self.levels >> 1

    def us(self) -> int:
        return self.t_us % _ROUND

    def ms(self) -> int:
        return self.t_us // 1000 % _ROUND

    def ticks_diff(self, later: int, earlier: int) -> int:
        return ((later - earlier + (_ROUND >> 1)) & (_ROUND - 1)) - (_ROUND >> 1)

    def interrupts_off(self) -> None: ...

    def interrupts_on(self) -> None: ...

    def run(self, goal: Any) -> None: ...

    def run_low(self) -> None: ...

    def buzz(self, on: bool) -> None: ...

    def arm_pressed(self) -> bool:
        return False

    def can_send(self) -> bool:
        return True

    def send(self, data: bytes) -> None:
        self.sent.append(data)

    def receive(self) -> bytes:
        heard, self.heard = self.heard, b""
        return heard

    def next_boot(self) -> int:
        return self.boot


class SimulatedBoard:
    """Advance it piece by piece: (time [s], line, true edges when it was made) for each line that it sends.

    chatter: part of the changes after which a switch chatters.  loop_us: between rounds of its main loop.
    """

    def __init__(self, wheel: Wheel, rng: random.Random, *, chatter: float = 0.2, loop_us: int = 10_000) -> None:
        self.wheel = wheel
        self._noise = np.random.default_rng(rng.getrandbits(32))
        self._chatter = chatter
        self._loop_us = loop_us
        self._settings = types.SimpleNamespace(
            FIRMWARE="turnproof-1", SENSORS=wheel.sensors, MAGNETS=wheel.magnets, DEAD_US=400, TICK_MS=10,
            HEARTBEAT_MS=500, WARN_TURNS=10,
        )  # fmt: skip
        self.boot = rng.randrange(1, 1 << 20)
        self.place = 0.003
        self._next_us = loop_us
        self.hardware: _Hardware | None = None
        self.start(0)

    @property
    def true_edges(self) -> int:
        return self.wheel.edges(self.place)

    def start(self, t_us: int) -> None:
        """Power comes back: the program begins anew."""
        self.boot += 1
        levels = self.hardware.levels if self.hardware is not None else self.wheel.levels(self.place)
        self.hardware = _Hardware(self.boot, levels)
        self.hardware.t_us = t_us
        self.program = _program()(self.hardware, self._settings)
        self._next_us = t_us + self._loop_us

    def run(self, piece: Piece) -> Iterator[tuple[float, bytes, int]]:
        """The board during a piece of the spindle's course; the piece's place is the spindle's own."""
        times, bits = self.wheel.changes(piece)
        times_us, bits = self._with_chatter(times, bits)
        program = self.program
        hardware, look, step = program._hardware, program.edges.look, program.step
        sent = hardware.sent
        end_us = round((piece.start + piece.seconds) * 1e6)
        for t_us, bit in zip([*times_us, end_us], [*bits, 0], strict=True):
            while self._next_us <= t_us:
                now = self._next_us
                hardware.t_us = now
                step()
                self._next_us = now + self._loop_us
                if sent:
                    self.place = piece.at(now / 1e6)
                    edges = self.wheel.edges(self.place)
                    for line in sent:
                        yield now / 1e6, line, edges
                    sent.clear()
                    if self.program is not program:  # it lost its power meanwhile
                        program = self.program
                        hardware, look, step = program._hardware, program.edges.look, program.step
                        sent = hardware.sent
            if bit:
                hardware.t_us = t_us
                hardware.levels ^= bit
                look(t_us % _ROUND)
        self.place = piece.end

    def _with_chatter(self, times: np.ndarray, bits: np.ndarray) -> tuple[list[int], list[int]]:
        us = np.floor(times * 1e6).astype(np.int64)
        chosen = self._noise.random(us.size) < self._chatter
        count = int(chosen.sum())
        if not count:
            return us.tolist(), bits.tolist()
        away = us[chosen] + self._noise.integers(5, 150, count)
        us = np.concatenate([us, away, away + 3])
        bits = np.concatenate([bits, bits[chosen], bits[chosen]])
        order = np.argsort(us, kind="stable")
        return us[order].tolist(), bits[order].tolist()


class Cable:
    """Loses whole lines, doubles some, and damages each byte with a probability of its own."""

    def __init__(
        self, rng: random.Random, *, lost: float = 0.01, doubled: float = 0.002, damaged: float = 0.01
    ) -> None:
        self._rng = rng
        self._noise = np.random.default_rng(rng.getrandbits(32))
        self._lost, self._doubled, self._damaged = lost, doubled, damaged
        self._burst = 0

    def carry(self, line: bytes) -> bytes:
        if self._burst:
            self._burst -= 1
            return b""
        draw = self._rng.random()
        if draw < self._lost:
            self._burst = self._rng.choice((0, 0, 0, 3, 40))
            return b""
        return self.harm(line + line if draw > 1 - self._doubled else line)

    def harm(self, data: bytes) -> bytes:
        hits = self._noise.random(len(data)) < self._damaged
        if not hits.any():
            return data
        harmed = np.frombuffer(data, dtype=np.uint8).copy()
        harmed[hits] = self._noise.integers(0, 256, int(hits.sum()))
        return harmed.tobytes()
