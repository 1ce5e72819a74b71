"""Programs that play or speak on the side: one at a time, never waited for, never left behind."""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from typing import Protocol

__all__ = ["Aside", "Program", "Running", "start_program"]

_log = logging.getLogger(__name__)

_FAILURES = 2  # in a row: one may be a sound card that somebody else held for a moment
_LAST_WAIT_S = 1.0  # for a program that was killed, at close
if sys.platform == "win32":
    _NO_WINDOW = subprocess.CREATE_NO_WINDOW
else:
    _NO_WINDOW = 0


class Running(Protocol):
    """A program that was started, or what stands for one."""

    def poll(self) -> int | None:
        """Its exit status, None while it runs; never waits."""
        ...

    def kill(self) -> None: ...

    def wait(self, timeout_s: float) -> None:
        """Until it has ended, at most `timeout_s`."""
        ...


@dataclass(frozen=True)
class Program:
    """start: begins to play or say what it is given; raises OSError or ValueError where it can't."""

    name: str
    start: Callable[[str], Running]


class _End(Enum):
    BY_ITSELF = auto()
    STOPPED = auto()
    OVERDUE = auto()


class Aside:
    """Of several programs for the same thing the first that works; its owner looks after it with `looked`.

    A program that fails or hangs is passed over for the next one, and left out after two failures in a row.
    """

    def __init__(self, programs: Sequence[Program], *, clock: Callable[[], float] = time.monotonic) -> None:
        self._programs = tuple(programs)
        self._clock = clock
        self._failures: Counter[str] = Counter()
        self._what = ""
        self._least_s = self._most_s = 0.0
        self._untried: list[Program] = []
        self._program = ""
        self._running: Running | None = None
        self._end = _End.BY_ITSELF
        self._begun = 0.0

    @property
    def program(self) -> str | None:
        """Name of the program that the next thing goes to, None where none is there that works."""
        return next((each.name for each in self._programs if self._failures[each.name] < _FAILURES), None)

    @property
    def busy(self) -> bool:
        return self._running is not None

    def begin(self, what: str, least_s: float, most_s: float) -> bool:
        """Start with `what` unless busy; False where no program could be started.

        A program that is done sooner than `least_s` was not heard, whatever its status says (some end well where there
        is no sound card); one that takes longer than `most_s` hangs.
        """
        if self.busy:
            return False
        self._what, self._least_s, self._most_s = what, least_s, most_s
        self._untried = [each for each in self._programs if self._failures[each.name] < _FAILURES]
        return self._next()

    def looked(self) -> str | None:
        """Take notice of a program that ended; what every program failed at, else None. Never waits."""
        if self._running is None:
            return None
        status = self._running.poll()
        seconds = self._clock() - self._begun
        if status is None:
            if self._end is _End.BY_ITSELF and seconds > self._most_s:
                self._end = _End.OVERDUE
                self._running.kill()
            return None
        self._running = None
        if self._end is _End.STOPPED:
            return None
        if self._end is _End.BY_ITSELF and status == 0 and seconds >= self._least_s:
            self._failures[self._program] = 0
            return None
        how = "it hung" if self._end is _End.OVERDUE else f"status {status} after {seconds:.2f} s"
        self._failed(self._program, how)
        return None if self._next() else self._what

    def stop(self) -> None:
        """End what runs; it is gone when a later `looked` finds it so."""
        if self._running is not None and self._end is _End.BY_ITSELF:
            self._end = _End.STOPPED
            self._running.kill()

    def close(self) -> None:
        """End what runs and see it gone."""
        if self._running is not None:
            self._running.kill()
            self._running.wait(_LAST_WAIT_S)
            self._running = None

    def _next(self) -> bool:
        while self._untried:
            program = self._untried.pop(0)
            try:
                self._running = program.start(self._what)
            except (OSError, ValueError, RuntimeError) as error:
                self._failed(program.name, str(error))
                continue
            self._program, self._end = program.name, _End.BY_ITSELF
            self._begun = self._clock()
            return True
        return False

    def _failed(self, name: str, why: str) -> None:
        self._failures[name] += 1
        _log.info("%s did not work: %s", name, why)


class _Process:
    """A process in a group of its own, so that a script's children end with it and Ctrl-C is not for them."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process

    def poll(self) -> int | None:
        return self._process.poll()

    def kill(self) -> None:
        if self._process.poll() is not None:
            return
        with contextlib.suppress(OSError):
            if sys.platform == "win32":
                self._process.kill()
            else:
                os.killpg(self._process.pid, signal.SIGKILL)

    def wait(self, timeout_s: float) -> None:
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(timeout_s)


def start_program(command: Sequence[str], text: str = "") -> Running:
    """Start a program without a shell; `text` is what it reads on its standard input. Raises OSError, ValueError."""
    process = subprocess.Popen(
        list(command),
        bufsize=0,
        stdin=subprocess.PIPE if text else subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        creationflags=_NO_WINDOW,
    )
    if process.stdin is not None:
        with contextlib.suppress(OSError):  # it ended without reading: its status tells
            process.stdin.write(text.encode("utf-8", "replace"))
        with contextlib.suppress(OSError):
            process.stdin.close()
    return _Process(process)
