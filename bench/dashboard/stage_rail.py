"""Where the job stands: the stages in their order, what is behind and what is on."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFont, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.parts.look import Ink, largest_font, scale_of
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot
from bench.dashboard.stations import Sign, Station

__all__ = ["StageRail"]


class StageRail(QWidget):
    """Stations on a line; the figure before a name is the key that looks at it, and so does a click: `wanted`."""

    wanted = Signal(int)

    def __init__(self, stations: tuple[Station, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._stations = stations
        self._signs: tuple[Sign, ...] = ()
        self._here: tuple[bool, ...] = (False,) * len(stations)
        self._face = 0
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("stages")
        self.show_state(Snapshot())

    def show_state(self, state: Snapshot) -> None:
        signs = tuple(one.sign(state) for one in self._stations)
        here = tuple(one.here(state) for one in self._stations)
        if (signs, here) != (self._signs, self._here):
            self._signs, self._here = signs, here
            self._describe()
            self.update()

    def _describe(self) -> None:
        """What is drawn, in words for whoever has it read out."""
        parts = []
        for place, (station, (shape, _)) in enumerate(zip(self._stations, self._signs, strict=True)):
            marks = [shape.value]
            marks += ["at work"] if self._here[place] else []
            marks += ["looked at"] if place == self._face else []
            parts.append(f"{station.key} {station.name}: {', '.join(marks)}".strip())
        self.setAccessibleDescription("; ".join(parts))

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        place = int(event.position().x() / self.width() * len(self._stations))
        if 0 <= place < len(self._stations) and self._stations[place].key:
            self.wanted.emit(place)

    def look_at(self, face: int) -> None:
        self._face = face
        self._describe()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        wide = self.width() / len(self._stations)
        side = min(26 * scale, self.height() * 0.46)
        line = self.height() * 0.30
        painter.setPen(QPen(Ink.LINE.colour, 3))
        painter.drawLine(round(wide / 2), round(line), round(self.width() - wide / 2), round(line))
        for place, (station, (shape, ink)) in enumerate(zip(self._stations, self._signs, strict=True)):
            centre = wide * (place + 0.5)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(Ink.PAPER.colour)
            painter.drawEllipse(QRectF(centre - side * 0.62, line - side * 0.62, side * 1.24, side * 1.24))
            draw_sign(painter, QRectF(centre - side / 2, line - side / 2, side, side), shape, ink)
            on = self._here[place]
            text = f"{station.key}  {station.name}" if station.key else station.name
            room = QRectF(centre - wide / 2, self.height() * 0.60, wide, self.height() * 0.40)
            bold = QFont.Weight.Bold if on else QFont.Weight.Normal
            painter.setFont(largest_font(text, int(wide), int(room.height()), round(18 * scale), 8, bold))
            painter.setPen(Ink.TEXT.colour if on else Ink.QUIET.colour)
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter, text)
            if place == self._face and station.key:
                painter.setPen(QPen(Ink.COPPER.colour, 3))
                half, foot = wide * 0.3, self.height() - 2
                painter.drawLine(round(centre - half), foot, round(centre + half), foot)
        painter.end()
