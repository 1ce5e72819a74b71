"""A window at work on a job file of its own, driven as a person would: by keys and typed lines."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.window import Window
from bench.job.bench_file import BenchFile
from bench.records.entry import Kind
from bench.sitting.opening import open_store

__all__ = ["At"]

_LONG_MS = 20_000
_KEYS = {"Enter": Qt.Key.Key_Return, "Esc": Qt.Key.Key_Escape, "Down": Qt.Key.Key_Down, "Up": Qt.Key.Key_Up}


class At:
    """The window with its desk; `close` puts both away."""

    def __init__(self, qtbot: QtBot) -> None:
        self._qtbot = qtbot
        self.desk = Desk(BenchFile.model_validate({"schema": 1}))
        self.window = Window("", self.desk)
        self._loop = DeskLoop(self.desk, self.window)
        self.window.show()
        self.window.activateWindow()
        self._loop.start()

    def close(self) -> None:
        self._loop.stop()
        self.window.leave()
        self.window.deleteLater()
        self.desk.close()

    def until(self, so: Callable[[], bool]) -> None:
        """Wait until it is so."""
        self._qtbot.waitUntil(so, timeout=_LONG_MS)

    def offers(self, key: str) -> bool:
        return any(one.key == key for one in self.window.face.acts)

    def press(self, key: str, words: str = "") -> None:
        """A key that is offered, with such words; fails where it is not within some time."""
        name = {"Enter": "Return", "Esc": "Escape"}.get(key, key)
        self.until(lambda: self._stands(name, words))
        QTest.keyClick(self.window, _KEYS.get(key) or Qt.Key(ord(key)))

    def _stands(self, key: str, words: str) -> bool:
        acts = self.window.acts
        return acts.isVisible() and any(one.key == key and words in one.words for one in acts.buttons)

    def type(self, *lines: str) -> None:
        """Into what is asked at the foot."""
        line = self.window.asker.line
        for text in lines:
            self.until(lambda: self.window.asker.isVisible())
            line.setFocus()
            line.clear()
            QTest.keyClicks(line, text)
            QTest.keyClick(line, Qt.Key.Key_Return)

    def said(self, words: str) -> bool:
        return any(words in one.words for one in self.desk.state.said)

    def entries(self, number: str, kind: Kind) -> list[dict[str, Any]]:
        """Bodies in the record."""
        with open_store() as store:
            return [one.body for one in store.entries(number, kind)]

    def open(self, path: Path) -> None:
        self.desk.open_job(path)
