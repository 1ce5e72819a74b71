"""Forwards in the background what a bench keeps, so that nothing at the bench ever waits for a network."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bench.job.records_address import ServerAddress
from bench.records.problem import RecordProblem, ServerAway

if TYPE_CHECKING:
    from bench.records.server.server import Server
    from bench.records.store import Store

__all__ = ["Forwarder", "Waiting", "pause_after"]

_log = logging.getLogger(__name__)
_SHORTEST_S, _LONGEST_S = 1.0, 60.0
_GATHER_S = 0.1
"""Counts come a hundred a second: those of a tenth go in one transaction."""


def pause_after(failures: int) -> float:
    """Seconds until a server that failed so many times in a row is asked again."""
    return float(min(_SHORTEST_S * 2.0 ** (failures - 1), _LONGEST_S))


@dataclass(frozen=True)
class Waiting:
    """What the server does not have yet: jobs, and why; none of both where it has all."""

    jobs: tuple[str, ...] = ()
    because: str = ""


class Forwarder:
    """One for each record in a process; its thread begins with the first entry.

    path: of the bench's own record;  pause: seconds after so many failures in a row;  told: whom it is told that the
    server went away, and that it answers again.
    """

    def __init__(
        self,
        path: Path,
        address: ServerAddress,
        bench: str,
        *,
        pause: Callable[[int], float] = pause_after,
        told: Callable[[str], None] = lambda line: None,
    ) -> None:
        self.address = address
        self._path, self._bench, self._pause, self._told = path, bench, pause, told
        self._changed = threading.Condition()
        self._jobs: dict[str, int] = {}
        self._refused: dict[str, str] = {}
        self._away = ""
        self._asked = self._ending = False
        self._thread: threading.Thread | None = None

    def stored(self, job: str) -> None:
        """An entry of a job was kept on the bench; returns at once."""
        with self._changed:
            self._jobs[job] = self._jobs.get(job, 0) + 1
            self._ending = False
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="forwarder", daemon=True)
                self._thread.start()
            self._changed.notify_all()

    @property
    def waiting(self) -> Waiting:
        """What waits just now."""
        with self._changed:
            return self._waiting()

    def finish(self, within: float) -> Waiting:
        """Wait until the server has all, or is away, or `within` seconds are over; what waits then."""
        until = time.monotonic() + within
        with self._changed:
            self._ending = True
            self._changed.notify_all()
            while self._thread is not None and (left := until - time.monotonic()) > 0:
                self._changed.wait(left)
            return self._waiting(f"no answer within {within:g} s")

    def _waiting(self, otherwise: str = "") -> Waiting:
        jobs = tuple(sorted({*self._jobs, *self._refused}))
        because = self._away or next(iter(self._refused.values()), otherwise)
        return Waiting(jobs, because) if jobs else Waiting()

    # -- the thread --------------------------------------------------------------------------------

    def _run(self) -> None:
        from bench.records.server.server import Server
        from bench.records.store import Store

        failures = 0
        while True:
            try:
                with Store(self._path) as store, Server(self.address, self._bench, "forwarding") as server:
                    for line in store.said:
                        self._say(line)
                    self._also_of_before(store, server)
                    while (job := self._next_job()) is not None:
                        self._forward(store, server, *job)
                        failures = 0
                return
            except RecordProblem as problem:
                failures += 1
                if not self._again_after(str(problem), failures):
                    return
            except Exception as error:  # a slip of ours must not leave anybody waiting
                _log.exception("forwarding to %s ended", self.address.words)
                self._end(f"{self.address.words}: {type(error).__name__}: {error}")
                return

    def _also_of_before(self, store: Store, server: Server) -> None:
        """What waits since an earlier time, when the server was away."""
        from bench.records.server.forwarding import jobs_to_forward

        older = [] if self._asked else jobs_to_forward(store, server)
        with self._changed:
            self._asked = True
            self._jobs.update({job: self._jobs.get(job, 0) + 1 for job in older})
            was_away, self._away = self._away, ""
        if was_away:
            self._say(f"records server {self.address.words}: answers again")

    def _next_job(self) -> tuple[str, int] | None:
        """One of which something is to be sent; None at the end, when the server has all."""
        with self._changed:
            while not self._jobs:
                if self._ending:
                    self._thread = None
                    self._changed.notify_all()
                    return None
                self._changed.wait()
            if not self._ending:
                self._changed.wait_for(lambda: self._ending, _GATHER_S)
            return next(iter(self._jobs.items()))

    def _forward(self, store: Store, server: Server, job: str, asked: int) -> None:
        from bench.records.server.forwarding import forward_job

        try:
            forward_job(store, server, job)
        except ServerAway:
            raise
        except RecordProblem as problem:  # of this job; the others go on
            _log.warning("%s: not forwarded: %s", job, problem)
            with self._changed:
                self._refused[job] = str(problem)
        else:
            with self._changed:
                self._refused.pop(job, None)
        with self._changed:
            if self._jobs.get(job) == asked:  # else something came meanwhile
                del self._jobs[job]

    def _again_after(self, because: str, failures: int) -> bool:
        """Whether to try again, after a pause; who waits for the end has one more try, and no pause."""
        with self._changed:
            was_away, self._away = self._away, because
        if was_away and was_away != because:  # refused, then starting up: it was told once
            _log.info("records server %s", because)
        if not was_away:
            self._say(f"records server {because}: what is kept here is sent there later")
        with self._changed:
            if not self._ending:
                self._changed.wait_for(lambda: self._ending, self._pause(failures))
                return True
        self._end(because)
        return False

    def _say(self, line: str) -> None:
        _log.warning("%s", line)
        self._told(line)

    def _end(self, because: str) -> None:
        with self._changed:
            self._away = because
            self._thread = None
            self._changed.notify_all()
