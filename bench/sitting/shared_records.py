"""The workshop's records server, where the person named one: what is kept goes there, what other benches kept comes."""

from __future__ import annotations

import logging
import os
import platform
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.job.file import FileProblem, read_bench_file
from bench.job.records_address import EXAMPLE, AddressProblem, ServerAddress, server_address
from bench.records.home import bench_file_path, store_path
from bench.records.problem import RecordProblem, ServerAway
from bench.sitting.problems import BadInput
from bench.sitting.told import TOLD

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile
    from bench.records.server.forwarder import Forwarder
    from bench.records.server.server import Server
    from bench.records.store import Store

__all__ = [
    "VARIABLE",
    "SharedRecords",
    "bring_up_to_date",
    "finish_forwarding",
    "forwarder",
    "held_on_server",
    "shared",
    "tell",
    "use_bench",
]

VARIABLE = "TURNPROOF_RECORDS"
_NOT_ASKED_AGAIN_S = 60.0
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class SharedRecords:
    """bench: what the others call this one."""

    address: ServerAddress
    bench: str

    def open(self, doing: str) -> Server:
        """Raises ServerAway and RecordProblem."""
        from bench.records.server.server import Server

        return Server(self.address, self.bench, doing)


def _to_stderr(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def _in_a_window(line: str) -> None:
    """What comes in the middle of something would spoil a terminal's picture; there it is told at the end."""
    if _process.told is not _to_stderr:
        _process.told(line)


class _Process:
    """A process sits at one bench: what it knows of the server."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.bench: BenchFile | None = None
        self.told: Callable[[str], None] = _to_stderr
        self.forwarders: dict[tuple[Path, ServerAddress], Forwarder] = {}
        self.away_until = 0.0
        self.held: set[str] = set()


_process = _Process()


def use_bench(bench: BenchFile) -> None:
    """This bench file was named; the user's own goes for who names none."""
    _process.bench = bench


def tell(told: Callable[[str], None]) -> None:
    """Whom what there is to say of the server is told; stderr where nobody says so."""
    _process.told = told


def shared() -> SharedRecords | None:
    """None where no server is named; raises BadInput for a name that is none."""
    bench = _process.bench or _own_bench()
    said = None if bench is None else bench.records
    text = os.environ.get(VARIABLE, "") or ("" if said is None else said.server)
    if not text:
        return None
    try:
        address = server_address(text)
    except AddressProblem as problem:
        raise BadInput(f"{VARIABLE}: {problem}" if os.environ.get(VARIABLE) else str(problem)) from None
    return SharedRecords(address, (said.bench if said else "") or platform.node() or "bench")


def the_server(doing: str) -> Server:
    """Of whoever can't do without; raises BadInput where none is named, ServerAway and RecordProblem."""
    there = shared()
    if there is None:
        raise BadInput(
            f"no records server is named, expected server in [records] of the bench file, or {VARIABLE}, "
            f"such as {EXAMPLE}"
        )
    return there.open(doing)


def forwarder(path: Path) -> Forwarder | None:
    """Of the record in `path`, one for each process; None where no server is named."""
    there = shared()
    if there is None:
        return None
    from bench.records.server.forwarder import Forwarder

    with _process.lock:
        key = (path, there.address)
        if key not in _process.forwarders:
            _process.forwarders[key] = Forwarder(path, there.address, there.bench, told=_in_a_window)
        return _process.forwarders[key]


def finish_forwarding(within: float) -> list[str]:
    """At the end of a process: wait a little for what is on its way; a line for what stays behind."""
    lines = []
    for one in _process.forwarders.values():
        waiting = one.finish(within)
        if waiting.jobs:
            jobs = ", ".join(waiting.jobs[:3]) + (f" and {len(waiting.jobs) - 3} more" if len(waiting.jobs) > 3 else "")
            lines.append(
                f"records server {waiting.because}: {jobs} kept here, not there yet; goes with the next entry, "
                "or by turnproof record forward"
            )
    return lines


@contextmanager
def held_on_server(number: str, doing: str) -> Iterator[None]:
    """Bring the bench's record of a job up to what other benches kept, and tell them who works on it now.

    Raises JobHeld.  A server that is away holds nobody up: it is told, and the work goes on with what is here.
    """
    there = _reachable()
    server = None if there is None else _sat_down(there, number, doing)
    _process.held.add(number)
    try:
        yield
    finally:
        _process.held.discard(number)
        if server is not None:
            with suppress(Exception):  # it may have gone away meanwhile
                server.close()


def bring_up_to_date(store: Store, number: str) -> None:
    """The bench's record of a job, before an entry that needs nobody's leave, such as a note: else it would be one of
    which the other benches know nothing, and theirs one of which this bench knows nothing."""
    there = _reachable()
    if there is None or number in _process.held:
        return
    try:
        with there.open("note") as server:
            _exchanged(store, server, number)
    except RecordProblem as problem:
        _is_away(problem, number)


def _reachable() -> SharedRecords | None:
    return None if time.monotonic() < _process.away_until else shared()


def _sat_down(there: SharedRecords, number: str, doing: str) -> Server | None:
    from bench.records.server.held import hold_on_server
    from bench.records.store import Store

    server = None
    try:
        server = there.open(doing)
        hold_on_server(server, number)
        with Store(store_path()) as store:
            for line in store.said:
                TOLD.warning(line)
            try:
                _exchanged(store, server, number)
            except ServerAway:
                raise
            except RecordProblem as problem:  # of this job: it is held all the same
                _process.told(f"records server: {problem}")
    except BaseException as problem:
        if server is not None:
            server.close()
        if not isinstance(problem, RecordProblem):
            raise
        _is_away(problem, number)
        return None
    return server


def _exchanged(store: Store, server: Server, number: str) -> None:
    from bench.records.server.forwarding import fetch_job, forward_job

    forward_job(store, server, number)
    fetched = fetch_job(store, server, number)
    if fetched.new:
        _process.told(f"{number}: {fetched.new} entries came from the records server")
    if fetched.apart:
        _process.told(fetched.apart)


def _is_away(problem: RecordProblem, number: str) -> None:
    if isinstance(problem, ServerAway):
        _process.away_until = time.monotonic() + _NOT_ASKED_AGAIN_S
    _log.warning("records server: %s", problem)
    _process.told(f"records server {problem}: going on with what is known here of {number}; it is brought there later")


def _own_bench() -> BenchFile | None:
    """Whoever needs it tells what is wrong with it."""
    path = bench_file_path()
    if not path.exists():
        return None
    try:
        return read_bench_file(path)
    except (FileProblem, OSError):
        return None
