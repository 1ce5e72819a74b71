"""The demo with its window: to the end, closed in the middle, interrupted, and failing."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard import demo_window
from bench.dashboard.window import Window
from bench.demo import run
from bench.demo.rehearsal_process import RehearsalFailed, RehearsalProcess
from bench.demo.run import DemoPlan, DemoResult
from bench.job.profiles import example_job
from bench.winding.progress import Progress

SPEED = 60.0


class View:
    """An observer that signals when the count, or the test, is under way; `finished` as told."""

    def __init__(self) -> None:
        self.counting = threading.Event()
        self.testing = threading.Event()
        self.finishes = 0

    def progressed(self, progress: Progress) -> None:
        if progress.turns > 20:
            self.counting.set()

    def step_done(self, result: Any) -> None:
        self.testing.set()

    def finished(self, result: Any) -> None:
        self.finishes += 1

    def begun(self, job: Any, winding: str) -> None: ...
    def count_event(self, event: Any) -> None: ...
    def test_begun(self, procedure: Any) -> None: ...
    def instrument(self, name: str, health: str) -> None: ...
    def asked(self, request: Any) -> None: ...
    def settling(self, step: str, value: float | None, state_words: str) -> None: ...
    def reading_taken(self, step: str, reading: Any) -> None: ...
    def suspected(self, suspicions: Any, words: tuple[str, ...]) -> None: ...


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[str]]:
    """The rehearsal processes that the demo starts."""
    processes: list[subprocess.Popen[str]] = []

    class Recorded(RehearsalProcess):
        def __enter__(self) -> Any:
            ports = super().__enter__()
            assert self._process is not None
            processes.append(self._process)
            return ports

    monkeypatch.setattr(run, "RehearsalProcess", Recorded)
    return processes


@pytest.fixture
def when(qtbot: QtBot) -> Any:
    """`when(event, act)`: does it in the thread of the window once the event is set."""
    timers = []

    def arrange(event: threading.Event, act: Any) -> None:
        timer = QTimer()
        timer.setInterval(10)

        def look() -> None:
            if event.is_set():
                timer.stop()
                act()

        timer.timeout.connect(look)
        timer.start()
        timers.append(timer)

    yield arrange
    for timer in timers:
        timer.stop()


def _plan(folder: Path, **changes: Any) -> DemoPlan:
    return DemoPlan(**{"job": example_job("coastal-receiver"), "out": folder, "speed": SPEED, **changes})


def _close() -> None:
    """As the person would, by the window's own button."""
    for window in QApplication.topLevelWidgets():
        if isinstance(window, Window) and window.isVisible():
            window.close()


def test_it_runs_to_its_end_and_closes_where_nobody_is_there(
    tmp_path: Path, qtbot: QtBot, started: list[subprocess.Popen[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo_window, "_STAYS_MS", 50)
    view = View()
    result = demo_window.run_with_window(_plan(tmp_path, count=False), view)
    assert isinstance(result, DemoResult)
    assert view.finishes == 1
    assert result.certificate.exists()
    assert [process.poll() is None for process in started] == [False]


def test_closing_it_while_counting_ends_everything_and_gives_none(
    tmp_path: Path, started: list[subprocess.Popen[str]], when: Any
) -> None:
    view = View()
    when(view.counting, _close)
    assert demo_window.run_with_window(_plan(tmp_path), view) is None
    assert not view.testing.is_set()
    assert [process.poll() is None for process in started] == [False]


def test_closing_it_while_testing_ends_everything_and_gives_none(
    tmp_path: Path, started: list[subprocess.Popen[str]], when: Any
) -> None:
    view = View()
    when(view.testing, _close)
    assert demo_window.run_with_window(_plan(tmp_path, count=False), view) is None
    assert view.finishes == 0
    assert [process.poll() is None for process in started] == [False]
    assert "demo" not in [thread.name for thread in threading.enumerate()]


def test_ctrl_c_ends_it_as_an_interrupt(tmp_path: Path, started: list[subprocess.Popen[str]], when: Any) -> None:
    view = View()
    when(view.counting, lambda: os.kill(os.getpid(), signal.SIGINT))
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        demo_window.run_with_window(_plan(tmp_path), view)
    assert signal.getsignal(signal.SIGINT) is before
    assert [process.poll() is None for process in started] == [False]


def test_what_goes_wrong_in_the_worker_is_raised_here(tmp_path: Path, qtbot: QtBot) -> None:
    with pytest.raises(RehearsalFailed, match="no_such_fault"):
        demo_window.run_with_window(_plan(tmp_path, faults=("no_such_fault",)), View())


def test_what_goes_wrong_while_drawing_ends_the_demo_and_is_raised(
    tmp_path: Path, started: list[subprocess.Popen[str]], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*arguments: Any) -> None:
        raise ZeroDivisionError("drawing")

    monkeypatch.setattr(Window, "show_state", broken)
    with pytest.raises(ZeroDivisionError, match="drawing"):
        demo_window.run_with_window(_plan(tmp_path), View())
    assert "demo" not in [thread.name for thread in threading.enumerate()]
