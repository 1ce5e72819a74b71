"""A line that may be too long for its place, such as the path of a port: its middle is left out, never an end."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.fit_label import FitLabel, tip_of
from bench.dashboard.parts.look import Ink, font_of, scale_of

__all__ = ["ElidedLabel"]


class ElidedLabel(FitLabel):
    """One line of at least `least` px (in the window designed for).  All of it is in the tool tip, and is what is read
    out."""

    def __init__(self, most: int, least: int, *, ink: Ink = Ink.TEXT, parent: QWidget | None = None) -> None:
        self._least = least
        self._whole = ""
        super().__init__(most, ink=ink, parent=parent)
        self.setWordWrap(False)

    @property
    def whole(self) -> str:
        return self._whole

    def say(self, text: str, like: str | None = None) -> None:
        if text == self._whole:
            return
        self._whole = text
        self.setToolTip(tip_of(text))
        self.setAccessibleName(text)
        self.fit()

    def fit(self) -> None:
        scale = scale_of(self)
        room = self.contentsRect()
        size = round(self._most * scale)
        least = min(size, max(9, round(self._least * scale)))
        while size > least and not self._is_in(size, room.width(), room.height(), self._whole):
            size -= 1
        font = font_of(size, self._weight)
        self.setFont(font)
        self.setText(QFontMetrics(font).elidedText(self._whole, Qt.TextElideMode.ElideMiddle, room.width()))

    def fits(self) -> bool:
        room = self.contentsRect()
        return self._is_in(self.font().pixelSize(), room.width(), room.height(), self.text())

    def _is_in(self, size: int, wide: int, high: int, text: str) -> bool:
        metrics = QFontMetrics(font_of(size, self._weight))
        return metrics.horizontalAdvance(text) <= wide and metrics.height() <= high
