"""A window with a desk and a job, and a person at its keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard.desk import Desk
from bench.dashboard.desk_window import DeskLoop
from bench.dashboard.window import Window
from bench.job.bench_file import BenchFile
from bench.job.profiles import example_job
from bench.records.entry import Entry
from bench.sitting.opening import open_store

__all__ = ["NUMBER", "Person", "a_job", "at_a_face", "entries"]

NUMBER = "TP-0107"


def a_job(folder: Path, **instead: str) -> Path:
    """The example, with its core kept; instead: words replaced in its text."""
    text = example_job("coastal-receiver").read_text(encoding="utf-8").replace("core_kept = false", "core_kept = true")
    for before, after in instead.items():
        assert before in text
        text = text.replace(before, after)
    path = folder / "receiver.toml"
    path.write_text(text, encoding="utf-8")
    return path


def entries(number: str = NUMBER) -> list[Entry]:
    """What the record holds of a job."""
    with open_store() as store:
        return store.entries(number)


class Person:
    """Presses keys and types lines; waits until the window is ready for the next."""

    def __init__(self, qtbot: QtBot, path: Path | None) -> None:
        self.qtbot = qtbot
        self._left = False
        self.desk = Desk(BenchFile.model_validate({"schema": 1}))
        if path is not None:
            self.desk.open_job(path)
        self.window = Window("", self.desk)
        self._loop = DeskLoop(self.desk, self.window)
        self.window.show()
        self.window.activateWindow()
        self._loop.start()
        qtbot.waitUntil(self.window.isActiveWindow)

    def press(self, key: Qt.Key) -> None:
        QTest.keyClick(self.window, key)
        QApplication.processEvents()

    def type(self, text: str) -> None:
        """A line that is asked for at the foot."""
        asker = self.window.asker
        self.qtbot.waitUntil(lambda: asker.isVisible() and self.window.focusWidget() is asker.line)
        QTest.keyClicks(asker.line, text)
        QTest.keyClick(asker.line, Qt.Key.Key_Return)
        QApplication.processEvents()

    def leave_line(self) -> None:
        """Esc in the line that is asked for."""
        asker = self.window.asker
        self.qtbot.waitUntil(asker.isVisible)
        QTest.keyClick(asker.line, Qt.Key.Key_Escape)
        self.qtbot.waitUntil(lambda: not asker.isVisible())

    def offered(self) -> list[str]:
        """Words of what can be done."""
        return [one.words for one in self.window.face.acts]

    def said(self) -> str:
        """All that was said, newest first."""
        return "\n".join(one.words for one in self.desk.state.said)

    def leave(self) -> None:
        """Once, though it is said more than once."""
        if self._left:
            return
        self._left = True
        self.window.leave()
        self._loop.stop()
        self.desk.close()
        self.window.deleteLater()


@contextmanager
def at_a_face(qtbot: QtBot, path: Path, key: Qt.Key, ready: Callable[[Person], bool]) -> Iterator[Person]:
    """A person before one face of a job, once it is `ready`."""
    person = Person(qtbot, path)
    try:
        person.press(key)
        qtbot.waitUntil(lambda: ready(person))
        yield person
    finally:
        person.leave()
