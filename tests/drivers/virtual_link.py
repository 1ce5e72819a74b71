"""A line to a fake meter in virtual time, that can be lost and found again."""

from __future__ import annotations

import heapq

from drivers.errors import LinkLost

from .clocks import VirtualClock
from .fake_meter import FakeMeter


class VirtualLink:
    """Carries messages to `meter` and its answers back when they are due."""

    def __init__(self, meter: FakeMeter, clock: VirtualClock) -> None:
        self.meter = meter
        self.clock = clock
        self.on_the_way: list[tuple[float, int, bytes]] = []
        self.sent = 0
        self.opened = 0
        self.closed = 0
        self.lose_after: int | None = None
        self.comes_back = True
        self.lost = False
        self._half = b""

    def open(self) -> None:
        self.opened += 1
        self.lost = False

    def close(self) -> None:
        self.closed += 1

    def reopen(self, within_s: float = 0.0) -> None:
        self.clock.sleep(0.1 if self.comes_back else within_s)
        if not self.comes_back:
            raise LinkLost("virtual: not back yet")
        self.on_the_way.clear()
        self.open()

    def send(self, data: bytes) -> None:
        self._check()
        *lines, self._half = (self._half + data).split(b"\n")
        for line in lines:
            self.sent += 1
            for delay, answer in self.meter.hear(line.decode("ascii")):
                self.arrive(delay, answer)
            if self.lose_after is not None and self.sent >= self.lose_after:
                self.lose_after, self.lost = None, True

    def arrive(self, delay: float, data: bytes) -> None:
        """Let bytes arrive by themselves."""
        heapq.heappush(self.on_the_way, (self.clock.now + delay, len(self.on_the_way), data))

    def receive(self, timeout_s: float) -> bytes:
        self._check()
        deadline = self.clock.now + timeout_s
        if not self.on_the_way or self.on_the_way[0][0] > deadline:
            self.clock.sleep(timeout_s)
            return b""
        self.clock.now = max(self.clock.now, self.on_the_way[0][0])
        data = b""
        while self.on_the_way and self.on_the_way[0][0] <= self.clock.now:
            data += heapq.heappop(self.on_the_way)[2]
        return data

    def _check(self) -> None:
        if self.lost:
            raise LinkLost("virtual: the line went away")
