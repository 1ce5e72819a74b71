"""Draws every scene into a folder, with a page that shows them all."""

from __future__ import annotations

import html
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from bench.dashboard.application import the_application
from bench.dashboard.parts.theme import Theme
from bench.dashboard.pictures.bench_of_pictures import PictureBench, picture_bench
from bench.dashboard.pictures.few_colours import few_colours
from bench.dashboard.pictures.scenes import Scene, scenes
from bench.dashboard.pictures.still_desk import NOW, StillDesk
from bench.dashboard.settings import keep_theme
from bench.dashboard.stations import DESK
from bench.dashboard.window import Window

__all__ = ["draw_all", "home_in", "staged"]

_TURNS_OF_QT = 8
"""A part that appears asks its parents for room one after the other, each in a turn of its own."""


def draw_all(folder: Path, size: tuple[int, int], theme: Theme = Theme.LIGHT, only: str = "") -> list[Path]:
    """The pictures that were drawn;  only: of scenes whose name, such as `test: live`, holds it.  Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    the_application()
    drawn: list[tuple[Scene, Path]] = []
    with home_in() as home, picture_bench(home) as bench:
        keep_theme(theme)
        for scene in scenes(bench):
            if only not in f"{scene.face}: {scene.name}":
                continue
            out = folder / f"{_file_name(scene)}-{theme}.png"
            _draw(bench, scene, size, out)
            drawn.append((scene, out))
    _write_page(folder / "index.html", drawn, size)
    return [out for _, out in drawn]


@contextmanager
def home_in() -> Iterator[Path]:
    """A folder that stands for all of the user's while it lasts: nothing of the user's own is read or written."""
    before = os.environ.get("TURNPROOF_HOME")
    with tempfile.TemporaryDirectory(prefix="turnproof-home-") as place:
        os.environ["TURNPROOF_HOME"] = place
        try:
            yield Path(place)
        finally:
            if before is None:
                del os.environ["TURNPROOF_HOME"]
            else:
                os.environ["TURNPROOF_HOME"] = before


def staged(bench: PictureBench, scene: Scene, size: tuple[int, int]) -> tuple[Window, StillDesk]:
    """The window as the scene has it, shown; whoever asks for it closes both."""
    desk = bench.desk(scene.job)
    window = Window("", desk)
    desk.put(scene.make(desk.state))
    window.resize(*size)
    window.show()
    window.activateWindow()
    window.look_at(next(n for n, station in enumerate(DESK) if station.name == scene.face))
    show(window, desk, scene)
    window.look_at(next(n for n, station in enumerate(DESK) if station.name == scene.face))
    for key in scene.keys:
        QTest.keySequence(window, QKeySequence(key))
        show(window, desk, scene)
    if scene.leaving:
        window.close()
    show(window, desk, scene)
    return window, desk


def show(window: Window, desk: StillDesk, scene: Scene) -> None:
    """Draw the desk's state, and what comes of drawing it."""
    desk.take_in(lambda state: window.show_state(state, NOW + scene.later))
    for _ in range(_TURNS_OF_QT):
        QApplication.processEvents()


def _draw(bench: PictureBench, scene: Scene, size: tuple[int, int], out: Path) -> None:
    window, desk = staged(bench, scene, size)
    try:
        if not few_colours(window.grab().toImage()).save(str(out)):
            raise OSError(f"{out}: can't be written")
    finally:
        window.leave()
        window.deleteLater()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        desk.close()


def _file_name(scene: Scene) -> str:
    return re.sub(r"[^a-z0-9]+", "-", f"{scene.face} {scene.name}".lower()).strip("-")


def _write_page(page: Path, drawn: list[tuple[Scene, Path]], size: tuple[int, int]) -> None:
    """A heading a face, and each scene below it; a click shows it whole."""
    parts = [
        "<!doctype html><html lang=en><meta charset=utf-8><title>Turnproof: every screen</title>",
        "<style>body{font-family:sans-serif;margin:2em;background:#fff;color:#111}"
        "figure{display:inline-block;margin:.6em;vertical-align:top}img{width:620px;border:1px solid #888}"
        "figcaption{padding:.3em 0}</style>",
        f"<h1>Every screen, {size[0]} by {size[1]}</h1>",
    ]
    face = ""
    for scene, out in drawn:
        if scene.face != face:
            face = scene.face
            parts.append(f"<h2>{html.escape(face)}</h2>")
        words = html.escape(f"{scene.face}: {scene.name}")
        parts.append(
            f'<figure><a href="{out.name}"><img src="{out.name}" alt="{words}" loading="lazy"></a>'
            f"<figcaption>{words}</figcaption></figure>"
        )
    page.write_text("\n".join(parts) + "\n</html>\n", encoding="utf-8")
