"""What goes wrong in the window shows itself and is logged, the count goes on; in a test it fails the test."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from bench.dashboard import news as told
from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import run_desk
from bench.dashboard.window import Window
from bench.dashboard.work.bridge import Bridge
from bench.dashboard.work.orders import Orders
from bench.job.bench_file import BenchFile
from tests.dashboard.given import job, progress


class _Counting:
    """A turn more every few milliseconds."""

    doing = "winding"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        bridge.begun(job(), "primary")
        turns = 0.0
        while True:
            turns += 1.0
            bridge.progressed(progress(turns))
            time.sleep(0.005)


@pytest.fixture
def desk(qtbot: QtBot) -> Iterator[Desk]:
    made = Desk(BenchFile.model_validate({"schema": 1}))
    made.begin(_Counting())
    yield made
    made.close()


def _turns(desk: Desk) -> float:
    return 0.0 if desk.state.progress is None else desk.state.progress.turns


def _shown(window: Window) -> float:
    words = window.instruments.counter.last.text()
    return float(words.removesuffix(" turns")) if words.endswith(" turns") else 0.0


def _run_until(desk: Desk, window: Window, more: float) -> None:
    """As the command does it, until so many turns were counted and shown after the failure was said."""
    counted: list[float] = []

    def look() -> None:
        said = [one for one in desk.state.said if one.grave]
        if said and not counted:
            counted.append(_turns(desk))
        if counted and _shown(window) > counted[0] + more:
            window.leave()

    timer = QTimer()
    timer.setInterval(20)
    timer.timeout.connect(look)
    timer.start()
    QTimer.singleShot(10_000, window.leave)
    run_desk(desk, window)
    timer.stop()
    assert counted, "nothing was said"
    assert _shown(window) > counted[0] + more


def test_what_a_slot_raises_is_said_and_logged_and_the_count_goes_on(
    desk: Desk, caplog: pytest.LogCaptureFixture
) -> None:
    window = Window("", desk)

    def slot() -> None:
        raise ZeroDivisionError("in a slot")

    QTimer.singleShot(100, slot)
    with caplog.at_level(logging.ERROR):
        _run_until(desk, window, 20.0)
    grave = [one.words for one in desk.state.said if one.grave]
    assert grave == ["the window failed (ZeroDivisionError: in a slot); its trace is in the log, the work goes on"]
    assert window.said.words.text() == grave[0]
    assert [record.exc_info[0] for record in caplog.records if record.exc_info] == [ZeroDivisionError]


@pytest.mark.parametrize("face", ["survey", "design", "winding", "restack", "test", "record"])
def test_a_face_that_cant_be_drawn_is_said_once_and_the_strip_goes_on_counting(
    desk: Desk, face: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = Window("", desk)

    def broken(*arguments: Any) -> None:
        raise ValueError(f"no {face}")

    monkeypatch.setattr(getattr(window, face), "show_state", broken)
    _run_until(desk, window, 40.0)
    assert [one.words for one in desk.state.said if one.grave] == [
        f"the window failed (ValueError: no {face}); its trace is in the log, the work goes on"
    ]


def test_what_fails_at_the_bench_is_said_and_the_window_stays(desk: Desk, qtbot: QtBot) -> None:
    class Failing:
        doing = "restack"

        def run(self, bridge: Bridge, orders: Orders) -> None:
            raise KeyError("at the bench")

    desk.end_work()
    qtbot.waitUntil(lambda: not desk.tick().doing and not desk.busy)
    desk.begin(Failing())
    qtbot.waitUntil(lambda: any(one.grave for one in desk.tick().said))
    assert desk.state.said[0] == told.Said(
        "restack failed: KeyError: 'at the bench'; what was kept is kept", grave=True
    )


def test_an_exception_in_a_slot_fails_the_test_in_which_it_happens(tmp_path: Path) -> None:
    """Else a test of the window could pass while the window does not work."""
    (tmp_path / "test_it.py").write_text(
        "from PySide6.QtCore import QTimer\n"
        "def slot():\n"
        "    raise ZeroDivisionError('unseen')\n"
        "def test_it(qtbot):\n"
        "    QTimer.singleShot(0, slot)\n"
        "    qtbot.wait(50)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:xdist", "-p", "no:cacheprovider", "-c", os.devnull, "."],
        cwd=tmp_path,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 1
    assert "ZeroDivisionError: unseen" in ran.stdout
    assert "1 failed" in ran.stdout or "1 passed, 1 error" in ran.stdout
