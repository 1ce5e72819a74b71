"""Programs that stand for players and voices: some only in here, some as scripts on the PATH."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from bench.operators.aside import Program

__all__ = ["Acted", "script", "which_in"]


class Acted:
    """A program of which the test says when it ends; `alive` and `begun` are of all that were started."""

    def __init__(self, name: str = "acted", *, fails: BaseException | None = None) -> None:
        self.program = Program(name, self._start)
        self.begun: list[str] = []
        self.alive: list[_Run] = []
        self.most_alive = 0
        self.fails = fails

    def ends(self, status: int = 0) -> None:
        (run,) = self.alive
        run.status = status

    def _start(self, what: str) -> _Run:
        if self.fails is not None:
            raise self.fails
        self.begun.append(what)
        self.alive.append(_Run(self.alive))
        self.most_alive = max(self.most_alive, len(self.alive))
        return self.alive[-1]


class _Run:
    """Lives until it is seen to have ended, as a process does."""

    def __init__(self, alive: list[_Run]) -> None:
        self._alive = alive
        self.status: int | None = None

    def poll(self) -> int | None:
        if self.status is not None and self in self._alive:
            self._alive.remove(self)
        return self.status

    def kill(self) -> None:
        self.status = -9

    def wait(self, timeout_s: float) -> None:
        self.poll()


def script(folder: Path, name: str, body: str) -> None:
    """A program of a few lines of shell."""
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(f"#!/bin/sh\n{body}\n", encoding="utf-8")
    (folder / name).chmod(0o755)


def which_in(folder: Path) -> Callable[[str], str | None]:
    return lambda name: shutil.which(name, path=str(folder))
