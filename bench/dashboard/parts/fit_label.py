"""A label whose type is as large as its place allows, so that nothing is ever clipped or cut short."""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPalette, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, font_of, scale_of

__all__ = ["FitLabel", "height_of"]

_LEAST = 9
_UNBOUND = 100_000
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def height_of(text: str, of_line: int, size: int) -> int:
    """About how high a text stands [px] that is broken after so many characters, in type of this size."""
    lines = sum(math.ceil(max(1, len(line)) / of_line) for line in text.splitlines())
    return round(1.25 * size * lines) + 4


class FitLabel(QLabel):
    """Plain text, wrapped, between 9 px and `most` pixels (in the window designed for).

    like: text of the greatest width to come, so that a number that changes does not change its size.
    """

    def __init__(
        self,
        most: int,
        *,
        bold: int = QFont.Weight.Normal,
        ink: Ink = Ink.TEXT,
        align: Qt.AlignmentFlag = _LEFT,
        like: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._most = most
        self._weight = bold
        self._like = like
        self._fitted: tuple[object, ...] = ()
        self._ink = ink
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setAlignment(align)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.say_in(ink)

    def say(self, text: str, like: str | None = None) -> None:
        """Show this text, if it is not shown already; `like` replaces the widest text to come."""
        if like is not None:
            self._like = like
        if text != self.text() or like is not None:
            self.setText(text)
            self.fit()

    def say_in(self, ink: Ink) -> None:
        """Change the colour of the text."""
        self._ink = ink
        palette = self.palette()
        if palette.color(QPalette.ColorRole.WindowText) != ink.colour:
            palette.setColor(QPalette.ColorRole.WindowText, ink.colour)
            self.setPalette(palette)

    def fit(self) -> None:
        """Choose the largest size of type in which text and `like` fit."""
        room = self.contentsRect()
        most = max(_LEAST, round(self._most * scale_of(self)))
        asked = (self.text(), self._like, room.width(), room.height(), most)
        if asked == self._fitted:
            return
        self._fitted = asked
        low, high = _LEAST, most
        while low < high:
            middle = (low + high + 1) // 2
            if self._fits(middle):
                low = middle
            else:
                high = middle - 1
        self.setFont(font_of(low, self._weight))

    def fits(self) -> bool:
        """Whether all of the text can be seen."""
        return self._fits(self.font().pixelSize())

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 (Qt's name)
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "_ink"):
            self.say_in(self._ink)

    # A wrapping QLabel asks for height by width, and a layout then gives it room that the design gave to others.
    def hasHeightForWidth(self) -> bool:  # noqa: N802 (Qt's name)
        return False

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(1, 1)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self.fit()

    def _fits(self, pixels: int) -> bool:
        room = self.contentsRect()
        metrics = QFontMetrics(font_of(pixels, self._weight))
        return all(self._needs(metrics, text, room) for text in (self.text(), self._like) if text)

    def _needs(self, metrics: QFontMetrics, text: str, room: QRect) -> bool:
        flags = int(self.alignment()) | int(Qt.TextFlag.TextWordWrap)
        needed = metrics.boundingRect(QRect(0, 0, room.width(), _UNBOUND), flags, text)
        return needed.width() <= room.width() and needed.height() <= room.height()
