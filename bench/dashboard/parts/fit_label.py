"""A label whose type is as large as its place allows, so that nothing is ever clipped or cut short."""

from __future__ import annotations

import html
import math
import re
from functools import cache

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPalette, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, font_of, scale_of, size_of_wrapped
from bench.dashboard.parts.theme import Theme, worn

__all__ = ["FitLabel", "height_of", "tip_of"]

_LEAST = 9
_MEASURED_AT = 100
"""Size of type [px] in which the digits are compared."""
_DIGIT = re.compile(r"\d")
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def tip_of(text: str) -> str:
    """A tool tip that shows a text as it is: Qt would take one that looks like markup for markup."""
    return f"<qt>{html.escape(text)}</qt>" if "<" in text else text


def height_of(text: str, of_line: int, size: int) -> int:
    """About how high a text stands [px] that is broken after so many characters, in type of this size."""
    lines = sum(math.ceil(max(1, len(line)) / of_line) for line in text.splitlines())
    return round(1.25 * size * lines) + 4


class FitLabel(QLabel):
    """Plain text, wrapped, between 9 px and `most` pixels (in the window designed for).

    It is fitted as if each digit were the widest: a figure that counts on is neither measured nor jumps in size.
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
        self._size = self._like_top = 0
        self._like_key: tuple[object, ...] = ()
        self._ink = ink
        self._dyed: tuple[Ink, Theme] | None = None
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setAlignment(align)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.say_in(ink)

    def say(self, text: str, like: str | None = None) -> None:
        """Show this text, if it is not shown already; `like` replaces the widest text to come."""
        other_like = like is not None and like != self._like
        if like is not None:
            self._like = like
        if text != self.text() or other_like:
            self.setText(text)
            self.fit()

    def say_in(self, ink: Ink) -> None:
        """Change the colour of the text."""
        self._ink = ink
        if self._dyed == (ink, worn()):
            return
        self._dyed = (ink, worn())
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.WindowText, ink.colour)
        self.setPalette(palette)

    def fit(self) -> None:
        """Choose the largest size of type in which text and `like` fit."""
        room = self.contentsRect()
        most = max(_LEAST, round(self._most * scale_of(self)))
        text = _DIGIT.sub(_widest_digit(self._weight), self.text())
        asked = (text, self._like, room.width(), room.height(), most)
        if asked == self._fitted:
            return
        self._fitted = asked
        size = self._size_for(text, room, most)
        if size != self._size:
            self._size = size
            self.setFont(font_of(size, self._weight))

    def _size_for(self, text: str, room: QRect, most: int) -> int:
        """What changes often is tried in the size that it had, or that `like` leaves it."""
        top = most
        if self._like:
            key = (self._like, room.width(), room.height(), most)
            if key != self._like_key:
                self._like_key, self._like_top = key, self._largest(self._like, room, _LEAST, most)
            top = self._like_top
        if not text or self._has_room(text, room, top):
            return top
        last = min(max(self._size, _LEAST), top - 1)
        if last < _LEAST or not self._has_room(text, room, last):
            return self._largest(text, room, _LEAST, max(_LEAST, last - 1))
        if last + 1 < top and self._has_room(text, room, last + 1):
            return self._largest(text, room, last + 1, top - 1)
        return last

    def _largest(self, text: str, room: QRect, low: int, high: int) -> int:
        """Of the sizes from `low` to `high`; `low` where it fits in none."""
        while low < high:
            middle = (low + high + 1) // 2
            if self._has_room(text, room, middle):
                low = middle
            else:
                high = middle - 1
        return low

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
        return all(self._has_room(text, room, pixels) for text in (self.text(), self._like) if text)

    def _has_room(self, text: str, room: QRect, pixels: int) -> bool:
        flags = int(self.alignment()) | int(Qt.TextFlag.TextWordWrap)
        wide, high = size_of_wrapped(text, room.width(), flags, pixels, int(self._weight))
        return wide <= room.width() and high <= room.height()


@cache
def _widest_digit(weight: int) -> str:
    """Of the application's font in that weight."""
    metrics = QFontMetrics(font_of(_MEASURED_AT, weight))
    return max("0123456789", key=metrics.horizontalAdvance)
