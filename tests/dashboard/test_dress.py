"""Light or dark: as the system has it until somebody chooses; what was chosen is there the next day."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from bench.dashboard import dress
from bench.dashboard.desk import Desk
from bench.dashboard.parts.look import Ink
from bench.dashboard.parts.theme import Theme, worn
from bench.dashboard.parts.wear import wear
from bench.dashboard.settings import kept_theme
from bench.dashboard.window import Window
from bench.job.bench_file import BenchFile
from bench.records.home import window_file_path

Opening = Callable[[], Window]


@pytest.fixture(autouse=True)
def light_again(qtbot: QtBot) -> Iterator[None]:
    yield
    wear(Theme.LIGHT)


@pytest.fixture
def opening(qtbot: QtBot) -> Iterator[Opening]:
    desks: list[Desk] = []

    def open_one() -> Window:
        desk = Desk(BenchFile.model_validate({"schema": 1}))
        desks.append(desk)
        window = Window("", desk)
        qtbot.addWidget(window)
        window.show()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        return window

    yield open_one
    for desk in desks:
        desk.close()


def _system_is(theme: Theme, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dress, "system_theme", lambda: theme)


def _press(window: Window) -> None:
    QTest.keyClick(window, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    QApplication.processEvents()


@pytest.mark.parametrize("theme", Theme)
def test_it_opens_as_the_system_is(opening: Opening, theme: Theme, monkeypatch: pytest.MonkeyPatch) -> None:
    _system_is(theme, monkeypatch)
    window = opening()
    assert worn() is theme
    assert window.palette().window().color().name() == Ink.PAPER.in_theme(theme)
    assert window.dress_button.words == str(theme.other)


def test_a_key_changes_it_says_so_and_the_next_window_is_as_it_was_left(opening: Opening) -> None:
    window = opening()
    _press(window)
    assert worn() is Theme.DARK
    assert window._desk is not None
    assert window._desk.state.said[0].words == "The window is dark from now on."
    assert kept_theme() is Theme.DARK
    wear(Theme.LIGHT)
    opening()
    assert worn() is Theme.DARK


def test_back_to_the_systems_own_follows_the_system_again(opening: Opening, monkeypatch: pytest.MonkeyPatch) -> None:
    window = opening()
    _press(window)
    _press(window)
    assert (worn(), kept_theme(), window_file_path().exists()) == (Theme.LIGHT, None, False)
    _system_is(Theme.DARK, monkeypatch)
    QApplication.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert worn() is Theme.DARK
    assert window.dress_button.words == "light"


def test_what_was_chosen_stays_when_the_system_changes(opening: Opening, monkeypatch: pytest.MonkeyPatch) -> None:
    window = opening()
    _press(window)
    _system_is(Theme.LIGHT, monkeypatch)
    QApplication.styleHints().colorSchemeChanged.emit(Qt.ColorScheme.Light)
    assert worn() is Theme.DARK
    assert window.isVisible()


@pytest.mark.parametrize("text", ["theme = ", 'theme = "blue"', "theme = 3", "[theme]", "\x00", ""])
def test_a_file_that_says_nothing_useful_is_passed_over(opening: Opening, text: str) -> None:
    window_file_path().write_text(text)
    assert opening().isVisible()
    assert worn() is Theme.LIGHT


def test_where_it_cant_be_kept_it_is_said_and_worn_all_the_same(opening: Opening) -> None:
    window_file_path().mkdir()
    window = opening()
    _press(window)
    assert worn() is Theme.DARK
    assert window._desk is not None
    assert "not kept for the next time" in window._desk.state.said[0].words


def test_the_users_file_is_where_the_bench_file_is(home: Path) -> None:
    assert window_file_path() == home / "config" / "window.toml"
