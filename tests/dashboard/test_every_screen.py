"""Every face in every state, as the pictures have them: nothing cut, all of it named, the keyboard enough, both themes.

Written over what there is: a face, a state or an act that is added is looked at here without a word more.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import numpy as np
import pytest
from pyqtgraph import PlotWidget
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QFont, QFontMetrics, QImage, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.key_button import KeyButton
from bench.dashboard.parts.look import Ink, largest_font
from bench.dashboard.parts.reading_order import in_reading_order, takes_tab
from bench.dashboard.parts.theme import Theme, worn
from bench.dashboard.pictures.bench_of_pictures import PictureBench, picture_bench
from bench.dashboard.pictures.gallery import show, staged
from bench.dashboard.pictures.scenes import Scene, scenes
from bench.dashboard.pictures.still_desk import StillDesk
from bench.dashboard.settings import keep_theme
from bench.dashboard.stage_rail import StageRail
from bench.dashboard.stations import DESK
from bench.dashboard.window import Window

FACES = tuple(station.name for station in DESK)
SIZES = [(1280, 800), (1180, 700), (1920, 1080), (3840, 2160)]
_SHADE = 24
"""Of 255, in any of the three colours."""
Shown = TypeVar("Shown", bound=QWidget)
Staging = Callable[[Scene, tuple[int, int]], tuple[Window, StillDesk]]


@lru_cache(maxsize=1)
def _bench_and_scenes() -> tuple[PictureBench, tuple[Scene, ...]]:
    """Made once: a second, and a folder that lives as long as the tests do."""
    folder = TemporaryDirectory(prefix="turnproof-screens-")
    before, os.environ["TURNPROOF_HOME"] = os.environ.get("TURNPROOF_HOME"), f"{folder.name}/home"
    try:
        context = picture_bench(Path(folder.name))
        bench = context.__enter__()
        made = tuple(scenes(bench))
    finally:
        os.environ.pop("TURNPROOF_HOME")
        if before is not None:
            os.environ["TURNPROOF_HOME"] = before
    _kept.extend([folder, context])
    return bench, made


_kept: list[object] = []


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> PictureBench:
    made, _ = _bench_and_scenes()
    monkeypatch.setenv("TURNPROOF_HOME", str(next(iter(made.jobs.values())).parent / "home"))
    return made


@pytest.fixture
def on_stage(bench: PictureBench) -> Iterator[Staging]:
    """Puts a scene up; only the last of them stands."""
    up: list[tuple[Window, StillDesk]] = []

    def down() -> None:
        for window, desk in up:
            window.leave()
            window.deleteLater()
            desk.close()
        up.clear()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)

    def stage(scene: Scene, size: tuple[int, int] = SIZES[0]) -> tuple[Window, StillDesk]:
        down()
        up.append(staged(bench, scene, size))
        return up[0]

    yield stage
    down()
    keep_theme(None)


def _scenes(face: str) -> tuple[Scene, ...]:
    return tuple(one for one in _bench_and_scenes()[1] if one.face == face)


def _name(scene: Scene) -> str:
    return f"{scene.face}: {scene.name}"


def _visible(window: Window, kind: type[Shown] = QWidget) -> list[Shown]:  # type: ignore[assignment]
    return [one for one in window.findChildren(kind) if one.isVisible() and one.width() > 0 and one.height() > 0]


def _painted(widget: QWidget) -> bool:
    """Whether it draws something of its own that nobody could read out: no label, and not just a card's ground."""
    if isinstance(widget, QLabel):
        return False
    paints = type(widget).paintEvent
    return paints not in (QWidget.paintEvent, CardFrame.paintEvent) and "paintEvent" in _made_here(type(widget))


def _made_here(kind: type) -> set[str]:
    return {name for one in kind.__mro__ if one.__module__.startswith("bench.") for name in vars(one)}


def _says(widget: QWidget) -> str:
    return f"{type(widget).__name__} {widget.accessibleName()!r}"


# -- all of it ---------------------------------------------------------------------------------------------------------


@pytest.mark.long
@pytest.mark.parametrize("face", FACES)
def test_a_face_in_each_of_its_states(on_stage: Staging, face: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """In four sizes, by keyboard and in both themes; one window for all of it, since to put a scene up is the dearest
    part."""
    wrong = []
    too_long = _watch_drawn_text(monkeypatch)
    for scene in _scenes(face):
        born = _born_dark(on_stage, scene)
        window, desk = on_stage(scene)
        found = [
            *(f"{check.__name__}: {each}" for check in _CHECKS for each in check(window, scene)),
            *_changed_otherwise(window, desk, scene, born),
            # Last: a label that was larger may find another size in which its words have room than one that was not.
            *_cut_or_out(window, desk, scene, too_long),
        ]
        wrong += [f"{_name(scene)}: {one}" for one in found]
    assert wrong == []


# -- nothing cut -----------------------------------------------------------------------------------------------------


def _cut_or_out(window: Window, desk: StillDesk, scene: Scene, too_long: set[str]) -> list[str]:
    """Nothing is cut, and nothing reaches out of the window, in any size."""
    found = []
    too_long.clear()
    for size in SIZES:
        # All of it is painted once, by `grab`, and not as the window's own picture too.
        window.setUpdatesEnabled(False)
        window.resize(*size)
        show(window, desk, scene)
        window.setUpdatesEnabled(True)
        assert (window.width(), window.height()) == size, _name(scene)
        cut = [label.text() for label in _visible(window, FitLabel) if label.text() and not label.fits()]
        window.grab()
        found += [f"cut at {size}: {text}" for text in (*cut, *sorted(too_long))]
        too_long.clear()
        found += [f"out of the window at {size}: {_says(one)}" for one in _visible(window) if _reaches_out(one, window)]
    return found


def _watch_drawn_text(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """What is drawn in a widget of its own and found no size of type in which it has room."""
    too_long: set[str] = set()

    def watched(text: str, wide: int, high: int, most: int, least: int, bold: int = QFont.Weight.Normal) -> QFont:
        font = largest_font(text, wide, high, most, least, bold)
        if wide > 0 and QFontMetrics(font).horizontalAdvance(text) > wide + 1:
            too_long.add(text)
        return font

    for name, module in list(sys.modules.items()):
        if name.startswith("bench.dashboard.") and getattr(module, "largest_font", None) is largest_font:
            monkeypatch.setattr(module, "largest_font", watched)
    return too_long


def _reaches_out(widget: QWidget, window: Window) -> bool:
    corner = widget.mapTo(window, QPoint(widget.width(), widget.height()))
    beyond = corner.x() > window.width() + 1 or corner.y() > window.height() + 1
    return beyond and not _in_a_scrolled_part(widget)


def _in_a_scrolled_part(widget: QWidget) -> bool:
    parent = widget.parentWidget()
    while parent is not None:
        if isinstance(parent, QAbstractScrollArea):
            return True
        parent = parent.parentWidget()
    return False


# -- names and the keyboard ------------------------------------------------------------------------------------------


def _nameless(window: Window, scene: Scene) -> list[str]:
    """Whatever is drawn, or takes the focus, has a name that can be read out."""
    return [
        _says(one)
        for one in _visible(window)
        if (takes_tab(one) or _painted(one) or isinstance(one, PlotWidget)) and not one.accessibleName().strip()
    ]


def _mouse_only(window: Window, scene: Scene) -> list[str]:
    """What is clicked takes the focus, and hears keys, or names the keys of the acts that do the same; the rail has its
    figures."""
    found = []
    acts = {key for act in window.face.acts for key in (act.key, *act.also)}
    for widget in _visible(window):
        hears = _made_here(type(widget))
        if "mousePressEvent" not in hears or isinstance(widget, (StageRail, KeyButton)):
            continue
        if widget.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents):
            continue
        same = widget.property("keys")
        if same and (set(same) <= acts or not getattr(widget, "rows", ())):
            continue
        if not takes_tab(widget) or "keyPressEvent" not in hears:
            found.append(_says(widget))
    return found


def _wrongly_walked(window: Window, scene: Scene) -> list[str]:
    """Tab walks through all that takes it, in reading order, and comes back; backwards too."""
    order = in_reading_order(window)
    taking = [one for one in _visible(window) if takes_tab(one)]
    found = [f"never reached: {_says(one)}" for one in taking if one not in order]
    order[-1].setFocus()
    for expected in (*order, order[0]):
        QTest.keyClick(window, Qt.Key.Key_Tab)
        now = window.focusWidget()
        if now is not expected:
            found.append(f"at {None if now is None else _says(now)}, expected {_says(expected)}")
            break
    QTest.keyClick(window, Qt.Key.Key_Backtab)
    if not found and window.focusWidget() is not order[-1]:
        found.append("backwards is another way")
    of_face = [place for place, one in enumerate(order) if window.face.isAncestorOf(one)]
    acts = [place for place, one in enumerate(order) if one in window.acts.buttons]
    if of_face and acts and max(of_face) > min(acts):
        found.append("acts come before what the face holds")
    return found


def _acts_amiss(window: Window, scene: Scene) -> list[str]:
    """Each act stands on screen with its key, no key twice, and none that the window keeps for itself."""
    if scene.keys or scene.leaving:
        return []
    shown = [button.key for button in window.acts.buttons if button.isVisible()]
    reserved = {station.key for station in DESK} | {"Ctrl+D", "Ctrl+Q", "Tab"}
    found = [f"{key} is the window's own" for key in shown if key in reserved]
    if shown != [act.key for act in window.face.acts] or len(set(shown)) != len(shown):
        found.append(f"on screen {shown}, offered {[act.key for act in window.face.acts]}")
    return found


def _focus_unseen(window: Window, scene: Scene) -> list[str]:
    found = []
    for widget in in_reading_order(window):
        window.setFocus()
        QApplication.processEvents()
        without = widget.grab().toImage()
        widget.setFocus()
        QApplication.processEvents()
        if widget.grab().toImage() == without:
            found.append(_says(widget))
    return found


_CHECKS = (_nameless, _mouse_only, _wrongly_walked, _acts_amiss, _focus_unseen)
"""That it can be read out, and worked by keyboard alone."""


def test_each_face_is_reached_by_its_figure(on_stage: Staging) -> None:
    window, _ = on_stage(_scenes("test")[0])
    for place, station in enumerate(DESK):
        QTest.keyClick(window, Qt.Key(ord(station.key)), Qt.KeyboardModifier.AltModifier)
        assert window.face is window.faces[place]


# -- light and dark --------------------------------------------------------------------------------------------------


@contextmanager
def _theme(theme: Theme) -> Iterator[None]:
    keep_theme(theme)
    try:
        yield
    finally:
        keep_theme(None)


def _born_dark(on_stage: Staging, scene: Scene) -> QImage | None:
    """The scene in a window that was opened in the dark; None for one that is not compared."""
    if scene.keys or scene.leaving:
        return None
    with _theme(Theme.DARK):
        return _picture(on_stage(scene)[0])


def _changed_otherwise(window: Window, desk: StillDesk, scene: Scene, born: QImage | None) -> list[str]:
    """A window that was changed looks as one that was opened so; else something keeps a colour of the other theme.  It
    is light again afterwards."""
    if born is None:
        return []
    assert worn() is Theme.LIGHT
    window.change_dress(quietly=True)
    assert worn() is Theme.DARK
    for _ in range(2):  # Qt tells the widgets in a turn of its own; the next frame comes after it
        show(window, desk, scene)
    where = _differ(born, _picture(window))
    inks = {ink.in_theme(Theme.DARK) for ink in Ink}
    found = [f"looks otherwise where it was changed: {where}"] if where else []
    for label in _visible(window, FitLabel):
        if label.palette().color(QPalette.ColorRole.WindowText).name() not in inks:
            found.append(f"in another colour: {label.text()}")
    window.change_dress(quietly=True)
    assert worn() is Theme.LIGHT
    return found


def _differ(one: QImage, other: QImage) -> str:
    """Where two pictures are not the same; empty where they are.  The edge of a large figure may fall a shade otherwise
    from one drawing to the next: a colour of the other theme is further off."""
    if one == other:
        return ""
    first, second = (
        np.frombuffer(each.convertToFormat(QImage.Format.Format_RGB32).constBits(), np.uint8).reshape(
            each.height(), each.width(), 4
        )
        for each in (one, other)
    )
    apart = np.maximum(first, second) - np.minimum(first, second)
    down, across = np.nonzero((apart > _SHADE).any(axis=2))
    return f"x {across.min()} to {across.max()}, y {down.min()} to {down.max()}" if len(down) else ""


def _picture(window: Window) -> QImage:
    """Without the button that says what the next press makes of it."""
    window.dress_button.hide()
    window.setFocus()
    QApplication.processEvents()
    picture = window.grab().toImage()
    window.dress_button.show()
    return picture
