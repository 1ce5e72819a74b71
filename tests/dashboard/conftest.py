"""Qt draws offscreen in these tests, wherever they run; set before Qt is imported for the first time."""

from __future__ import annotations

import os

os.environ["QT_QPA_PLATFORM"] = "offscreen"

from collections.abc import Callable
from functools import partialmethod

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard.state import Snapshot
from bench.dashboard.window import Window
from bench.job.file import read_job
from bench.job.model import Job
from bench.job.profiles import example_job
from tests.dashboard.given import NOW
from tests.warm_start.rehearsals import start_rehearsals_warm

PATIENCE_MS = 20_000
"""On a loaded machine a thread may have to wait for its turn; a test that waits in vain fails a little later."""


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("waitUntil", "waitSignal"):
        monkeypatch.setattr(QtBot, name, partialmethod(getattr(QtBot, name), timeout=PATIENCE_MS))


@pytest.fixture(autouse=True)
def warm(monkeypatch: pytest.MonkeyPatch) -> None:
    start_rehearsals_warm(monkeypatch)


Showing = Callable[..., Window]


@pytest.fixture(scope="session")
def coastal() -> Job:
    return read_job(example_job("coastal-receiver"))


@pytest.fixture
def showing(qtbot: QtBot) -> Showing:
    """A window that shows a snapshot, in a size."""

    def show(state: Snapshot, size: tuple[int, int] = (1280, 800), now: float = NOW) -> Window:
        window = Window("rehearsal on simulated instruments,\n40 times life")
        qtbot.addWidget(window)
        window.resize(*size)
        window.show()
        window.activateWindow()
        window.show_state(state, now)
        # A part that appears asks its parents for room one after the other, each in a turn of its own.
        for _ in range(8):
            QApplication.processEvents()
        return window

    return show
