"""A band across the card that says what is live: hatched at its edges, so that it is seen without its colour."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from bench.dashboard.acceptance.diagram.symbols import hatch
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, scale_of
from bench.dashboard.parts.signs import SignWidget

__all__ = ["LiveBand"]


class LiveBand(CardFrame):
    """A few volts that can't hurt, or live; away while nothing is fed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._hurts = False
        line = QHBoxLayout(self)
        bare(line, margin=4, spacing=10)
        self.sign, self.words, self.other = SignWidget(), FitLabel(26, bold=QFont.Weight.Bold), SignWidget()
        line.addStretch(3)
        line.addWidget(self.sign, 6)
        line.addWidget(self.words, 82)
        line.addWidget(self.other, 6)
        line.addStretch(3)
        self.setAccessibleName("what is live")

    def show_live(self, words: str, *, hurts: bool) -> None:
        """hurts: more than a few volts are on."""
        live = bool(words)
        self.setVisible(live)
        self.lay_on(Ink.BAD_PALE if hurts else Ink.DOUBT_PALE if live else Ink.CARD)
        shape = Shape.BOLT if hurts else Shape.DOT if live else Shape.NONE
        self.sign.show_sign(shape, Ink.BAD if hurts else Ink.DOUBT)
        self.other.show_sign(Shape.BOLT if hurts else Shape.NONE, Ink.BAD)
        self.words.say(words)
        self.words.say_in(Ink.BAD if hurts else Ink.DOUBT if live else Ink.QUIET)
        if hurts != self._hurts:
            self._hurts = hurts
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        if not self._hurts:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wide = 26 * scale_of(self)
        for left in (1.0, self.width() - wide - 1.0):
            path = QPainterPath()
            path.addRect(QRectF(left, 1, wide, self.height() - 2))
            hatch(painter, path, 10 * scale_of(self))
        painter.end()
