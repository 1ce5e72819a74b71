"""How fast lines of a counter are read, decoded and joined; over the same pseudo-terminal in the same run."""

from __future__ import annotations

import os
import threading
import tty
from collections.abc import Iterator
from typing import Any

import pytest
import serial

from drivers.countline import HallDecoder, Hello, check_sum
from drivers.joiner import CountJoiner
from drivers.link import LineSettings, Link
from drivers.profile_files import load_counter_profile

pytestmark = pytest.mark.benchmark

_LINES = 10_000
_PTY = f"{_LINES} counter lines over a pseudo-terminal, read and decoded"
_JOIN = f"{_LINES} counter lines decoded and joined to a count"


def _line(number: int) -> bytes:
    body = f"hall 1 7 {number} {number * 10} {number * 4} 8".encode()
    return body + b" %04X\n" % check_sum(body)


DATA = b"".join(_line(number) for number in range(1, _LINES + 1))


class _Peer:
    """The far end of a pseudo-terminal, which says everything once for each `go`."""

    def __init__(self) -> None:
        self.master, self.slave = os.openpty()
        tty.setraw(self.slave)
        self.name = os.ttyname(self.slave)
        self._thread: threading.Thread | None = None

    def go(self) -> None:
        self._thread = threading.Thread(target=self._say)
        self._thread.start()

    def done(self) -> None:
        if self._thread is not None:
            self._thread.join()

    def _say(self) -> None:
        sent = 0
        while sent < len(DATA):
            sent += os.write(self.master, DATA[sent : sent + 65536])

    def close(self) -> None:
        os.close(self.slave)
        os.close(self.master)


@pytest.fixture
def peer() -> Iterator[_Peer]:
    one = _Peer()
    yield one
    one.close()


@pytest.mark.benchmark(group=_PTY)
def test_link_and_decoder(benchmark: Any, peer: _Peer) -> None:
    benchmark.extra_info.update(role="ours", what="")
    with Link(peer.name, LineSettings(baud_rate=115200)) as link:

        def read() -> None:
            decoder, lines = HallDecoder(), 0
            peer.go()
            while lines < _LINES:
                lines += len(decoder.feed(link.receive(1.0)))
            peer.done()

        benchmark.pedantic(read, rounds=20, warmup_rounds=1)


@pytest.mark.benchmark(group=_PTY)
def test_bare_pyserial(benchmark: Any, peer: _Peer) -> None:
    benchmark.extra_info.update(role="reference", what="bare pyserial, read what is there and split")
    with serial.Serial(peer.name, 115200, timeout=1.0) as port:

        def read() -> None:
            rest, lines = b"", 0
            peer.go()
            while lines < _LINES:
                *whole, rest = (rest + port.read(port.in_waiting or 1)).split(b"\n")
                lines += len(whole)
            peer.done()

        benchmark.pedantic(read, rounds=20, warmup_rounds=1)


@pytest.mark.benchmark(group=_JOIN)
def test_joining(benchmark: Any) -> None:
    benchmark.extra_info.update(role="ours", what="")

    def join() -> None:
        decoder, joiner = HallDecoder(), CountJoiner(load_counter_profile("hall"))
        joiner.feed(Hello("1", 2, 2, 7, ""), 0.0)
        at = 0.0
        for line in decoder.feed(DATA):
            at += 0.01
            joiner.feed(line, at, at - 0.01)
        assert joiner.count is not None
        assert joiner.count.certain

    benchmark.pedantic(join, rounds=15, warmup_rounds=1)


@pytest.mark.benchmark(group=_JOIN)
def test_splitting(benchmark: Any) -> None:
    benchmark.extra_info.update(role="reference", what="the same split at its blanks into numbers")

    def split() -> None:
        total = 0
        for line in DATA.split(b"\n"):
            parts = line.split()
            total += sum(int(part) for part in parts[2:7])
        assert total

    benchmark.pedantic(split, rounds=15, warmup_rounds=1)
