"""What counts the winding: counters of the bench file, serial ports that are there, or a person who types."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF, Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, font_of, scale_of
from bench.dashboard.parts.signs import draw_sign
from bench.job.bench_file import CounterEntry
from bench.sitting.opening import HAND
from bench.sitting.ports_found import port_words
from drivers.ports import PortInfo

__all__ = ["HAND_NAME", "CounterChoice", "CounterRow"]

HAND_NAME = HAND
_PROFILES = ("hall", "plain")
"""The first is that of the board whose program comes along."""
_LEAST = 9
_MOST_HIGH = 84


@dataclass(frozen=True)
class CounterRow:
    """use: what opens it;  words: what can be said of it;  troubled: it can't be opened as it is."""

    use: str
    words: str
    troubled: bool = False


class CounterChoice(CardFrame):
    """None is chosen at first unless the bench file has one; `picked` when a person picks another in it."""

    picked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench: tuple[CounterRow, ...] = ()
        self._ports: tuple[CounterRow, ...] = ()
        self._found: Sequence[PortInfo] = ()
        self.chosen = ""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("what counts the winding")

    def use_bench(self, counters: Sequence[CounterEntry]) -> None:
        """The counters that a person owns; the first is chosen."""
        self._bench = tuple(CounterRow(one.name, f"{one.use}, of your bench file") for one in counters)
        if self._bench and not self.chosen:
            self.choose(self._bench[0].use)

    def show_ports(self, ports: Sequence[PortInfo]) -> None:
        """What was found on this machine."""
        if ports == self._found:
            return
        self._found = ports
        self._ports = tuple(
            CounterRow(
                f"{_PROFILES[0]}@{port.device}",
                ", ".join(port_words(port)[1:]),
                troubled=not port.permitted or port.holder is not None,
            )
            for port in ports
        )
        self.update()

    def rows(self) -> tuple[CounterRow, ...]:
        """All that can be chosen, and what a person typed."""
        known = (*self._bench, *self._ports, CounterRow(HAND, "counted by hand: turns typed, layer by layer"))
        if not self.chosen or any(one.use == self.chosen for one in known):
            return known
        return (CounterRow(self.chosen, "as typed"), *known)

    def names(self) -> tuple[str, ...]:
        """What may be typed."""
        ports = [f"{profile}@{port.device}" for port in self._found for profile in _PROFILES]
        return (*(one.use for one in self._bench), *ports, HAND)

    def choose(self, use: str) -> None:
        self.chosen = use
        self.setAccessibleDescription(use or "none chosen")
        self.update()

    def step(self, by: int) -> None:
        rows = self.rows()
        at = next((place for place, one in enumerate(rows) if one.use == self.chosen), -1)
        self.choose(rows[(at + by) % len(rows)].use)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        rows = self.rows()
        place = int((event.position().y() - 8 * scale_of(self)) / self._high(len(rows)))
        if 0 <= place < len(rows):
            self.choose(rows[place].use)
            self.picked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.step(1 if event.key() == Qt.Key.Key_Right else -1)
            self.picked.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale, rows = scale_of(self), self.rows()
        high = self._high(len(rows))
        for place, row in enumerate(rows):
            room = QRectF(12 * scale, 8 * scale + place * high, self.width() - 24 * scale, high)
            self._row(painter, room, row, scale)
        painter.end()

    def _row(self, painter: QPainter, room: QRectF, row: CounterRow, scale: float) -> None:
        on = row.use == self.chosen
        if on:
            painter.setPen(QPen(Ink.COPPER.colour, 3))
            painter.setBrush(Ink.DOUBT_PALE.colour)
            painter.drawRoundedRect(room.adjusted(0, 2, 0, -2), 6, 6)
        side = min(26 * scale, room.height() * 0.5)
        sign = QRectF(room.left() + 10 * scale, room.center().y() - side / 2, side, side)
        shape = Shape.CROSS if row.troubled else Shape.DOT if on else Shape.RING
        draw_sign(painter, sign, shape, Ink.BAD if row.troubled else Ink.COPPER if on else Ink.QUIET)
        left = sign.right() + 12 * scale
        wide = room.right() - left - 8 * scale
        parts = (
            (0.50, row.use, 24, QFont.Weight.Bold, Ink.TEXT, Qt.AlignmentFlag.AlignBottom),
            (
                0.50,
                row.words,
                17,
                QFont.Weight.Normal,
                Ink.BAD if row.troubled else Ink.QUIET,
                Qt.AlignmentFlag.AlignTop,
            ),
        )
        top = room.top()
        for share, text, most, bold, ink, upright in parts:
            place = QRectF(left, top, wide, room.height() * share)
            # What must be done before it can be opened takes two lines.
            flags = Qt.AlignmentFlag.AlignLeft | upright | Qt.TextFlag.TextWordWrap
            painter.setFont(_wrapped_font(text, place, round(most * scale), bold, int(flags)))
            painter.setPen(ink.colour)
            painter.drawText(place, flags, text)
            top += place.height()

    def _high(self, rows: int) -> float:
        scale = scale_of(self)
        return min((self.height() - 16 * scale) / max(1, rows), _MOST_HIGH * scale)


def _wrapped_font(text: str, room: QRectF, most: int, bold: int, flags: int) -> QFont:
    """The largest from 9 px on in which a text that may go on in another line has room."""
    whole = QRect(0, 0, int(room.width()), 10_000)
    for size in range(most, _LEAST, -1):
        needed = QFontMetrics(font_of(size, bold)).boundingRect(whole, flags, text)
        if needed.width() <= room.width() and needed.height() <= room.height():
            return font_of(size, bold)
    return font_of(_LEAST, bold)
