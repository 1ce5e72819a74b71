"""A person at the window with a winding machine that is rehearsed beside it, over pseudo-terminals."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.winding.face import WindingFace
from bench.dashboard.window import Window
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from bench.records.entry import Entry
from bench.sitting.opening import open_store

__all__ = ["AtTheWindow", "a_job", "at_the_window", "kept"]

Key = Qt.Key
PATIENCE_MS = 40_000
JOB = "TP-0107"
HEAD = "schema = 1"


def a_job(folder: Path) -> Path:
    """A copy of the example that may be changed."""
    path = folder / "job.toml"
    shutil.copy(example_job("coastal-receiver"), path)
    return path


def kept(kind: str) -> list[Entry]:
    """What the record holds of the job."""
    with open_store() as store:
        return [entry for entry in store.entries(JOB) if entry.kind == kind]


@dataclass
class AtTheWindow:
    """Keys in, and what the window shows and the record keeps out."""

    qtbot: QtBot
    desk: Desk
    window: Window

    @property
    def face(self) -> WindingFace:
        return self.window.winding

    @property
    def turns(self) -> float:
        progress = self.desk.state.progress
        return -1.0 if progress is None else progress.turns

    def press(self, *keys: Qt.Key) -> None:
        for key in keys:
            self.qtbot.keyClick(self.window, key)

    def type(self, *lines: str) -> None:
        """Lines that are asked for at the foot of the window."""
        for text in lines:
            self.until(self.window.asker.isVisible)
            self.window.asker.line.clear()
            self.qtbot.keyClicks(self.window.asker.line, text)
            self.qtbot.keyClick(self.window.asker.line, Key.Key_Return)

    def until(self, holds: Callable[[], bool]) -> None:
        self.qtbot.waitUntil(holds, timeout=PATIENCE_MS)

    def look(self) -> None:
        """At what can be wound."""
        self.press(Key.Key_3)
        self.until(lambda: {"T", "F"} <= self.keys().keys())

    def begin(self, winding: str, counter: str) -> None:
        """Chosen by keys, then begun."""
        self.look()
        choice = self.face.start.choice
        while choice.winding is None or choice.winding.name != winding:
            self.press(Key.Key_Down)
        self.press(Key.Key_T)
        self.type(counter)
        self.press(Key.Key_Return)
        self.until(lambda: self.desk.state.progress is not None or not self.desk.busy)
        assert self.desk.state.progress is not None, self.desk.state.said

    def keys(self) -> dict[str, str]:
        """What stands on the keys along the foot."""
        return {button.key: button.words for button in self.window.acts.buttons}


@contextmanager
def at_the_window(qtbot: QtBot, job: Path, **bench: Any) -> Iterator[AtTheWindow]:
    """A window on that job, which is left at the end as by a person."""
    desk = Desk(BenchFile.model_validate({"schema": 1, **bench}))
    desk.open_job(job)
    window = Window("", desk)
    loop = DeskLoop(desk, window)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    loop.start()
    try:
        yield AtTheWindow(qtbot, desk, window)
    finally:
        window.leave()
        loop.stop()
        desk.close()
        window.deleteLater()


def opened(port: str) -> ControlPort:
    control = ControlPort(port)
    control.open()
    return control
