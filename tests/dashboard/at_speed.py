"""A window at work that is fed much, for benchmarks and the soak: a record of many entries, and a fast counter."""

from __future__ import annotations

import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication

from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.stations import DESK
from bench.dashboard.window import Window
from bench.dashboard.work.winding_work import WindingWork
from bench.demo.rehearsal_process import RehearsalProcess
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from bench.records.entry import GENESIS, Kind, canonical, entry_hash
from bench.records.home import store_path
from bench.records.store import Store

__all__ = ["WINDING", "AtSpeed", "at_speed", "fill_record", "frame", "job_of_many_turns", "open_window", "rss", "spin"]

WINDING = "ht"
_TURNS = 6_000
_PATIENCE_S = 120.0


def job_of_many_turns(folder: Path) -> Path:
    """The example job with a winding that a fast counter does not fill in minutes."""
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    text = re.sub(r"turns = 1554\n", f"turns = {_TURNS}\n", text, count=1)
    text = re.sub(r"layers = \[190.*\]\n", "", text, count=1)
    path = folder / "many turns.toml"
    path.write_text(text, encoding="utf-8")
    return path


def fill_record(number: str, entries: int) -> None:
    """So many counts of the primary in the record of a job, chained as the store does it, and the winding done."""
    with Store(store_path()):
        pass
    began = datetime(2026, 1, 1, tzinfo=UTC)
    connection = sqlite3.connect(store_path())
    previous = GENESIS

    def rows() -> Iterator[tuple[Any, ...]]:
        nonlocal previous
        for seq in range(1, entries + 1):
            kind, body = _entry(seq, entries)
            at, content = (began + timedelta(seconds=seq / 100)).isoformat(), canonical(body)
            digest = entry_hash(number, seq, kind, at, seq / 100, content, previous)
            yield number, seq, str(kind), at, seq / 100, content, previous, digest
            previous = digest

    with connection:
        connection.executemany(
            "INSERT INTO entry (job, seq, kind, at, monotonic, body, previous, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            rows(),
        )
    connection.close()


def _entry(seq: int, of: int) -> tuple[Kind, dict[str, Any]]:
    turns = round(662.0 * seq / of, 3)
    if seq == 1:
        return Kind.WINDING_BEGUN, {"winding": "primary", "target": 662}
    if seq == of:
        return Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0, "target": 662}
    return Kind.COUNT, {"winding": "primary", "turns": turns, "low": turns, "high": turns, "counter": None}


@contextmanager
def open_window(job: Path) -> Iterator[tuple[Desk, Window]]:
    """A window at work with that job open and its record read; nothing is at the bench yet."""
    desk = Desk(BenchFile.model_validate({"schema": 1}))
    desk.open_job(job)
    window = Window("", desk)
    window.show()
    try:
        spin_until(desk, window, lambda: bool(desk.state.windings))
        yield desk, window
    finally:
        desk.close()
        window.leave()
        window.deleteLater()
        QApplication.processEvents()


def spin_until(desk: Desk, window: Window, there: Any) -> None:
    deadline = time.monotonic() + _PATIENCE_S
    while not there():
        if time.monotonic() > deadline:
            raise TimeoutError(f"{desk.state.doing or 'nothing'} at the bench: {desk.state.said[:1]}")
        window.show_state(desk.tick(), time.monotonic())
        spin(0.03)


def spin(seconds: float) -> None:
    """As the program does it: the loop of Qt, with whatever timers it has."""
    loop = QEventLoop()
    QTimer.singleShot(round(seconds * 1000), loop.quit)
    loop.exec()


def frame(desk: Desk, window: Window) -> float:
    """Seconds that one frame takes: what came is taken in, and all of the window is painted."""
    began = time.perf_counter()
    window.show_state(desk.tick(), time.monotonic())
    window.repaint()
    return time.perf_counter() - began


def rss() -> float:
    """Memory that this process holds [MB] (Linux)."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


class AtSpeed:
    """A window, and a counter behind a pseudo-terminal in a process of its own."""

    def __init__(self, job: Path, things: ExitStack) -> None:
        self._job = job
        ports = things.enter_context(RehearsalProcess(job, (), 0, 1.0))
        self._counter = ports.counter
        self._control = ControlPort(ports.control)
        self._control.open()
        things.callback(self._control.close)
        self.desk, self.window = things.enter_context(open_window(job))
        self._loop = DeskLoop(self.desk, self.window)
        self._loop.start()
        things.callback(self._loop.stop)

    def wind(self, turns: float, rpm: float) -> None:
        """A winding begins, and the spindle goes so far."""
        job = self.desk.state.job
        assert job is not None
        self.desk.begin(WindingWork(self._job, job, self.desk.bench, WINDING, self._counter, again=True, rest=1e6))
        spin_until(self.desk, self.window, lambda: self.desk.state.progress is not None)
        self._control.do("spindle", by=turns, rpm=rpm, accel=200.0)

    def leave(self) -> None:
        """The winding is left, and all is kept."""
        self._control.do("spindle", stop=True)
        self.desk.end_work()
        spin_until(self.desk, self.window, lambda: not self.desk.state.doing and not self.desk.busy)

    def look_at(self, name: str) -> None:
        self.window.look_at(next(n for n, station in enumerate(DESK) if station.name == name))

    @property
    def turns(self) -> float:
        progress = self.desk.state.progress
        return 0.0 if progress is None else progress.turns


@contextmanager
def at_speed(folder: Path) -> Iterator[AtSpeed]:
    with ExitStack() as things:
        yield AtSpeed(job_of_many_turns(folder), things)
