"""A program that keeps counts, readings and results as fast as it can, and says of each that it is stored once it is.

It is forked from a process that has imported the store, and is a process of its own: to be killed at will.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import random
import select
import signal
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from bench.job.records_address import server_address
from bench.records.entry import Kind
from bench.records.log_end import log_size
from bench.records.problem import RecordProblem
from bench.records.server.forwarder import Forwarder, pause_after
from bench.records.store import Store

__all__ = ["JOBS", "Stored", "Told", "Writer", "opened", "writing"]

JOBS = ("J-1", "J-2", "J-3")
_CONTEXT = multiprocessing.get_context("forkserver")
_CONTEXT.set_forkserver_preload([__name__])
_PATIENCE_S = 120.0


@dataclass(frozen=True)
class Stored:
    """An entry that was shown as stored.  log: bytes of the write-ahead log just then;  took: seconds that it took."""

    job: str
    seq: int
    hash: str
    log: int
    took: float


@dataclass(frozen=True)
class Told:
    """A line for the person: why nothing more is stored, or what is waited for."""

    words: str
    last: bool


class Writer:
    """A child and what it printed."""

    def __init__(self, path: Path, seed: int, **how: Any) -> None:
        self._ours, theirs = _CONTEXT.Pipe(duplex=False)
        # The process that forks it has the environment of when that one was started.
        self.process = _CONTEXT.Process(target=_write, args=(theirs, str(path), seed, how, dict(os.environ)))
        self.process.start()
        theirs.close()
        self._rest = b""
        self.stored: list[Stored] = []
        self.told: list[Told] = []

    def wait_for_first(self) -> None:
        """Until something is stored, or the program is over."""
        self.wait_for(1)

    def wait_for(self, entries: int) -> None:
        """Until so many are stored, or the program is over."""
        while len(self.stored) < entries and self._read_more():
            pass

    def wait(self) -> None:
        """Until it ends by itself."""
        while self._read_more():
            pass
        self.process.join(_PATIENCE_S)

    def kill(self) -> None:
        """Now; what it had printed until then is read."""
        self.process.kill()
        self.wait()

    def close(self) -> None:
        if self.process.is_alive():
            self.process.kill()
        self.process.join(_PATIENCE_S)
        self._ours.close()

    def _read_more(self) -> bool:
        ready, _, _ = select.select([self._ours], [], [], _PATIENCE_S)
        if not ready:
            raise RuntimeError("the writer says nothing any more")
        data = os.read(self._ours.fileno(), 1 << 16)
        *lines, self._rest = (self._rest + data).split(b"\n")
        for line in lines:
            self._take(line.decode())
        return bool(data)

    def _take(self, line: str) -> None:
        if line[:1] in "!~":
            self.told.append(Told(line[2:], line[0] == "!"))
        else:
            job, seq, digest, log, took = line.split()
            self.stored.append(Stored(job, int(seq), digest, int(log), float(took)))


@contextlib.contextmanager
def writing(path: Path, seed: int, **how: Any) -> Iterator[Writer]:
    """how: `most` entries, and whether it `stays` after them with the store open; `jobs`; `seconds` that it goes on;
    `pause` seconds between two; `clock_back` seconds; `largest_file` bytes; `server` to forward to: its URL, the
    bench's name, and what pauses are multiplied by."""
    writer = Writer(path, seed, **how)
    try:
        yield writer
    finally:
        writer.close()


def opened(path: Path) -> tuple[list[str], list[str]]:
    """What another process has to say that opens the record, and what it finds wrong with the chains."""
    with writing(path, 0, most=0, verify=True) as reader:
        reader.wait()
        return [one.words for one in reader.told if not one.last], [one.words for one in reader.told if one.last]


def _write(out: Connection, path: str, seed: int, how: dict[str, Any], environment: dict[str, str]) -> None:
    os.environ.update(environment)
    os.dup2(out.fileno(), 1)
    if "largest_file" in how:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (how["largest_file"], how["largest_file"]))
    back = timedelta(seconds=how.get("clock_back", 0.0))
    rng = random.Random(seed)
    sender = _sender(Path(path), how["server"]) if "server" in how else None
    stored = (lambda job: None) if sender is None else sender.stored
    try:
        with Store(Path(path), utcnow=lambda: datetime.now(UTC) - back, stored=stored) as store:
            store.waiting = lambda line: _print(f"~ {line}")
            for line in store.said:
                _print(f"~ {line}")
            for job in store.jobs() if "verify" in how else ():
                for line in store.verify(job):
                    _print(f"! {line}")
            over = _until(how.get("seconds"))
            _append(store, rng, how.get("most", 1_000_000), how.get("jobs", JOBS), over, how.get("pause", 0.0))
            if "stays" in how:
                signal.pause()
        if sender is not None and (waiting := sender.finish(60.0)).jobs:
            _print(f"! records server {waiting.because}")
    except RecordProblem as problem:
        _print(f"! {problem}")


def _until(seconds: float | None) -> Callable[[], bool]:
    end = None if seconds is None else time.monotonic() + seconds
    return lambda: end is not None and time.monotonic() > end


def _sender(path: Path, server: tuple[str, str, float]) -> Forwarder:
    url, bench, scale = server
    return Forwarder(path, server_address(url), bench, pause=lambda failures: scale * pause_after(failures), told=_say)


def _say(line: str) -> None:
    _print(f"~ {line}")


def _append(
    store: Store, rng: random.Random, most: int, jobs: tuple[str, ...], over: Callable[[], bool], pause: float
) -> None:
    for number in range(most):
        if over():
            return
        time.sleep(pause)
        kind, body = _drawn(rng, number)
        begun = time.monotonic()
        entry = store.append(rng.choice(jobs), kind, body)
        took = time.monotonic() - begun
        _print(f"{entry.job} {entry.seq} {entry.hash} {log_size(store.path)} {took:.4f}")


def _drawn(rng: random.Random, number: int) -> tuple[Kind, dict[str, Any]]:
    chance = rng.random()
    if chance < 0.85:
        counter = {"board": 7, "line": number, "edges": 8 * number, "doubt": 0, "offset": -3, "per": 8, "broken": False}
        return Kind.COUNT, {"winding": "primary", "turns": number / 8, "low": 0.0, "high": 0.0, "counter": counter}
    if chance < 0.97:
        return Kind.READING, {"step": "resistance:primary", "value": rng.gauss(16.3, 0.01), "unit": "ohm", "raw": "x"}
    steps = [{"id": f"step {one}", "measured": rng.random(), "basis": "b" * 80} for one in range(rng.randrange(5, 120))]
    return Kind.RESULT, {"verdict": "accepted", "steps": steps, "number": number}


def _print(line: str) -> None:
    # Past every buffer: what is read on the other side was shown.
    os.write(1, f"{line}\n".encode())
