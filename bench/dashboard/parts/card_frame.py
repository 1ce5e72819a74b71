"""The sheet of paper that each part of the dashboard is laid on."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLayout, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink

__all__ = ["CardFrame", "bare"]


class CardFrame(QWidget):
    """A light ground with a hairline; `ground` may change with what it says."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._ground = Ink.CARD
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)

    def lay_on(self, ground: Ink) -> None:
        if ground is not self._ground:
            self._ground = ground
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(Ink.LINE.colour, 1))
        painter.setBrush(self._ground.colour)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 6, 6)
        painter.end()


def bare(layout: QLayout, margin: int = 0, spacing: int = 0) -> None:
    """Margins and spacing [px] of a layout."""
    layout.setContentsMargins(margin, margin, margin, margin)
    layout.setSpacing(spacing)
