"""The counter board: magnets on the spindle, sensors, and framed lines with an absolute count."""

from __future__ import annotations

import binascii
import math
import re

from bench.rehearsal.spindle import Spindle

__all__ = ["CounterBoard", "framed"]

_TICK = 0.010  # s between lines at most
_HEARTBEAT = 0.5  # s without an edge until a line is sent all the same
_WRAP = 2**30  # the board's milliseconds start again from here
_FIRMWARE = "rehearsal-1"
_AIM = re.compile(rb"(aim (-?\d{1,9}) \d{1,9}) [0-9A-F]{4}")


def framed(body: str) -> bytes:
    """A line with its check sum: CRC-16/CCITT-FALSE over all before the last blank."""
    return f"{body} {binascii.crc_hqx(body.encode('ascii'), 0xFFFF):04X}\n".encode("ascii")


class CounterBoard:
    """Two sensors count edges both ways; a single one counts every edge upwards."""

    def __init__(self, spindle: Spindle, *, sensors: int = 2, magnets: int = 2, boot: int = 1) -> None:
        self._spindle = spindle
        self._sensors, self._magnets = sensors, magnets
        self.per_turn = 2 * magnets * sensors
        self.boot = boot
        self._line = 0
        self._ticks = 0
        self._started = 0.0
        self._place = 0
        self._edges = 0
        self._sent_edges = 0
        self._sent_at = -math.inf
        self._partial = bytearray()
        self._answers: list[bytes] = [self._hello()]
        self._to_lose = 0
        self._to_damage = 0
        self.aim: int | None = None

    @property
    def edges(self) -> int:
        """The board's own count."""
        return self._edges

    def feed(self, data: bytes) -> None:
        """Take bytes from the host: `identify`, and `aim EDGES WARN` with its check sum."""
        self._partial += data
        *lines, rest = bytes(self._partial).split(b"\n")
        self._partial = bytearray(rest[-64:])
        for line in lines:
            if line.strip() == b"identify":
                self._answers.append(self._hello())
            elif (aim := _AIM.fullmatch(line)) is not None and framed(aim[1].decode("ascii")) == line + b"\n":
                self.aim = int(aim[2])
                self._answers.append(framed(f"hall ok aim boot={self.boot} at={self._edges} target={self.aim} run=0"))

    def advance(self, now: float) -> bytes:
        """Lines sent up to a bench time [s]."""
        out, self._answers = self._answers, []
        while (time := self._started + (self._ticks + 1) * _TICK) <= now:
            idle = self._spindle.stands_from() is None and self._sent_edges == self._edges
            if idle and time < (beat := min(self._sent_at + _HEARTBEAT, now)):
                # Nothing can happen before the next heartbeat.
                skip = max(1, int((beat - time) / _TICK))
                self._ticks += skip
                time = self._started + self._ticks * _TICK
            else:
                self._ticks += 1
            self._count(time)
            if self._edges != self._sent_edges or time - self._sent_at >= _HEARTBEAT - 1e-9:
                out.append(self._count_line(time))
        return b"".join(line for line in map(self._on_the_way, out) if line)

    def lose(self, lines: int) -> None:
        """Let the next lines get lost on the way."""
        self._to_lose += lines

    def damage(self, lines: int) -> None:
        """Let a bit of the next lines flip on the way."""
        self._to_damage += lines

    def reboot(self, now: float) -> None:
        """The board loses its power for an instant: its count starts again."""
        self._count(now)
        self.boot += 1
        self._line, self._ticks, self._edges, self._sent_edges = 0, 0, 0, 0
        self._started, self._sent_at = now, -math.inf
        self.aim = None
        self._answers.append(self._hello())

    def _count(self, time: float) -> None:
        # The first edge lies half a step ahead, so that standing still is not standing on an edge.
        place = math.floor(self._spindle.position(time) * self.per_turn + 0.5)
        step = place - self._place
        self._place = place
        self._edges += step if self._sensors == 2 else abs(step)

    def _count_line(self, time: float) -> bytes:
        self._line += 1
        self._sent_edges, self._sent_at = self._edges, time
        ms = int((time - self._started) * 1000) % _WRAP
        return framed(f"hall 1 {self.boot} {self._line} {ms} {self._edges} {self.per_turn}")

    def _hello(self) -> bytes:
        return framed(
            f"hall hello {_FIRMWARE} sensors={self._sensors} magnets={self._magnets} boot={self.boot} board=R1"
        )

    def _on_the_way(self, line: bytes) -> bytes:
        if self._to_lose > 0:
            self._to_lose -= 1
            return b""
        if self._to_damage > 0:
            self._to_damage -= 1
            middle = len(line) // 2
            return line[:middle] + bytes([line[middle] ^ 0x04]) + line[middle + 1 :]
        return line
