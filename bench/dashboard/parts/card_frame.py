"""The sheet of paper that each part of the dashboard is laid on."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLayout, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink
from bench.dashboard.parts.themed_widget import ThemedWidget

__all__ = ["CardFrame", "bare"]

_EDGE = 8
"""Pixels that the line around it and its corners take at most."""


class CardFrame(ThemedWidget):
    """A ground with a hairline, or with a strong line where it has the focus; `ground` may change with what it says."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._ground = Ink.CARD
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)

    @property
    def ground(self) -> Ink:
        return self._ground

    def lay_on(self, ground: Ink) -> None:
        if ground is not self._ground:
            self._ground = ground
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        if self.rect().adjusted(_EDGE, _EDGE, -_EDGE, -_EDGE).contains(event.rect()):
            # something on it changed: thirty times a second that is far from its edge
            painter.fillRect(event.rect(), self._ground.colour)
            painter.end()
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        focus = self.hasFocus()
        painter.setPen(QPen((Ink.TEXT if focus else Ink.LINE).colour, 3 if focus else 1))
        painter.setBrush(self._ground.colour)
        edge = 1.5 if focus else 0.5
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(edge, edge, -edge, -edge), 6, 6)
        painter.end()


def bare(layout: QLayout, margin: int = 0, spacing: int = 0) -> None:
    """Margins and spacing [px] of a layout."""
    layout.setContentsMargins(margin, margin, margin, margin)
    layout.setSpacing(spacing)
