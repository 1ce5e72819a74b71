"""Varnish and bake: each heat as it was, over the limit of the insulation."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, scale_of
from bench.dashboard.restack.draw_words import draw_words
from bench.job.model import Job
from bench.winding.stage import Answered
from bench.winding.typed_answers import Heat
from bench.winding.varnish import HeatLimit, heat_limit, varnish_of

__all__ = ["HeatView", "Heats", "heats_of"]

_ROOM = 293.15
_CENTRE = Qt.AlignmentFlag.AlignHCenter
_UNTIMED = 3600.0
"""Width [s] at which a heat without its time is drawn, in outline."""


@dataclass(frozen=True)
class Heats:
    """each: words and heat in the order of the work;  limit: what none should pass."""

    each: tuple[tuple[str, Heat], ...]
    limit: HeatLimit


def heats_of(job: Job, known: Answered) -> Heats:
    """From the job and the answers."""
    said = varnish_of(known)
    dried = () if said.predry is None else (("dried", said.predry),)
    return Heats((*dried, *((f"bake {step}", heat) for step, heat in said.bakes)), heat_limit(job))


class HeatView(CardFrame):
    """Time to the right, temperature upwards from that of a room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heats: Heats | None = None
        self.setAccessibleName("drying and bake")

    def show_heats(self, heats: Heats) -> None:
        if heats != self.heats:
            self.heats = heats
            told = [f"{words}: {heat}" for words, heat in heats.each] or ["no heat is kept yet"]
            self.setAccessibleDescription(f"{', '.join(told)}; not above {heats.limit.words}")
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        if self.heats is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        line, pad = 24 * scale, 16 * scale
        room = QRectF(self.rect()).adjusted(pad, pad + line, -pad, -pad - 2 * line)
        hottest = max([self.heats.limit.temperature, *(one.temperature or 0 for _, one in self.heats.each)]) + 15
        per_kelvin = room.height() / (hottest - _ROOM)
        painter.setPen(QPen(Ink.TEXT.colour, 1.5))
        painter.drawLine(room.bottomLeft(), room.bottomRight())
        if not self.heats.each:
            below = QRectF(room.left(), room.bottom() + line * 0.4, room.width(), line * 1.4)
            draw_words(painter, below, "no drying and no bake is kept yet", 20 * scale, Ink.QUIET, _CENTRE)
        gap = 10 * scale
        long = sum(one.time or _UNTIMED for _, one in self.heats.each)
        left, wide = room.left() + gap, room.width() - gap * (len(self.heats.each) + 1)
        for words, heat in self.heats.each:
            bar = QRectF(left, room.bottom(), wide * (heat.time or _UNTIMED) / long, 0)
            bar.setTop(room.bottom() - ((heat.temperature or _ROOM + 5) - _ROOM) * per_kelvin)
            self._heat(painter, bar, words, heat, line, scale)
            left = bar.right() + gap
        self._limit(painter, room, per_kelvin, line)
        painter.end()

    def _limit(self, painter: QPainter, room: QRectF, per_kelvin: float, line: float) -> None:
        assert self.heats is not None
        y = room.bottom() - (self.heats.limit.temperature - _ROOM) * per_kelvin
        painter.setPen(QPen(Ink.BAD.colour, 2, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(room.left(), y), QPointF(room.right(), y))
        above = QRectF(room.left(), room.top() - line - 6, room.width(), line)
        draw_words(painter, above, f"dashed: not above {self.heats.limit.words}", line * 0.75, Ink.BAD)

    def _heat(self, painter: QPainter, bar: QRectF, words: str, heat: Heat, line: float, scale: float) -> None:
        assert self.heats is not None
        too_hot = heat.temperature is not None and heat.temperature > self.heats.limit.temperature + 0.01
        whole = heat.time is not None and heat.temperature is not None
        ink, pale = (Ink.BAD, Ink.BAD_PALE) if too_hot else (Ink.COPPER, Ink.COPPER_PALE)
        painter.setPen(QPen(ink.colour, 2, Qt.PenStyle.SolidLine if whole else Qt.PenStyle.DashLine))
        painter.setBrush(pale.colour if whole else Ink.CARD.colour)
        painter.drawRect(bar)
        below = QRectF(bar.left(), bar.bottom() + 2, bar.width(), line)
        draw_words(painter, below, str(heat), 17 * scale, ink if too_hot else Ink.TEXT, _CENTRE, bold=too_hot)
        draw_words(painter, below.translated(0, line), words, 15 * scale, Ink.QUIET, _CENTRE)
