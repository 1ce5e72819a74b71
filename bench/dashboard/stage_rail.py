"""Where the job stands: the stages in their order, what is behind and what is on."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.parts.look import (
    Ink,
    Shape,
    ink_of_standing,
    ink_of_verdict,
    largest_font,
    scale_of,
    shape_of_standing,
    shape_of_verdict,
)
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot, Stage

__all__ = ["StageRail"]

_STAGES = (("1", "winding", Stage.WINDING), ("2", "test", Stage.TESTING), ("", "verdict", Stage.ENDED))
_ORDER = (Stage.WAITING, Stage.WINDING, Stage.TESTING, Stage.ENDED)


class StageRail(QWidget):
    """Three stations on a line; the figure before a name is the key that looks at it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._stage = Stage.WAITING
        self._signs: tuple[tuple[Shape, Ink], ...] = ((Shape.RING, Ink.QUIET),) * len(_STAGES)
        self._face = 0
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("stages")

    def show_state(self, state: Snapshot) -> None:
        signs = _signs(state)
        if (state.stage, signs) != (self._stage, self._signs):
            self._stage, self._signs = state.stage, signs
            self.update()

    def look_at(self, face: int) -> None:
        self._face = face
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        wide = self.width() / len(_STAGES)
        side = min(26 * scale, self.height() * 0.46)
        line = self.height() * 0.30
        painter.setPen(QPen(Ink.LINE.colour, 3))
        painter.drawLine(round(wide / 2), round(line), round(self.width() - wide / 2), round(line))
        for place, ((key, name, stage), (shape, ink)) in enumerate(zip(_STAGES, self._signs, strict=True)):
            centre = wide * (place + 0.5)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(Ink.PAPER.colour)
            painter.drawEllipse(QRectF(centre - side * 0.62, line - side * 0.62, side * 1.24, side * 1.24))
            draw_sign(painter, QRectF(centre - side / 2, line - side / 2, side, side), shape, ink)
            on = stage is self._stage
            text = f"{key}  {name}" if key else name
            room = QRectF(centre - wide / 2, self.height() * 0.60, wide, self.height() * 0.40)
            bold = QFont.Weight.Bold if on else QFont.Weight.Normal
            painter.setFont(largest_font(text, int(wide), int(room.height()), round(18 * scale), 8, bold))
            painter.setPen(Ink.TEXT.colour if on else Ink.QUIET.colour)
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter, text)
            if place == self._face:
                painter.setPen(QPen(Ink.COPPER.colour, 3))
                half, foot = wide * 0.3, self.height() - 2
                painter.drawLine(round(centre - half), foot, round(centre + half), foot)
        painter.end()


def _signs(state: Snapshot) -> tuple[tuple[Shape, Ink], ...]:
    here = _ORDER.index(state.stage)
    winding, test = (Shape.RING, Ink.QUIET), (Shape.RING, Ink.QUIET)
    if state.progress is not None:
        standing = state.progress.standing
        winding = (shape_of_standing(standing), ink_of_standing(standing)[0])
    if here >= _ORDER.index(Stage.TESTING):
        test = (Shape.DOT, Ink.COPPER if state.verdict is None else Ink.TEXT)
    verdict = None if state.verdict is None else state.verdict.verdict
    return winding, test, (shape_of_verdict(verdict), ink_of_verdict(verdict)[0])
