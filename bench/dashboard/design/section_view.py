"""The core's window to scale with all that lies in it: the leg below, layers growing upwards as they are wound."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, scale_of
from bench.dashboard.parts.painted import wrap, write
from bench.design.plan import PlannedLayer, PlannedScreen, PlannedWinding, WindingPlan

__all__ = ["SectionView"]

_WORDS = 0.24
"""Of the width: names beside the window."""
_IRON = 0.06
"""Height of the leg and the limb that are drawn, of the whole."""
_SEEN = 4.5
"""A turn of that diameter [px] is drawn as a circle, a finer one goes into a band."""
_OVER = 1.5
"""Of the window's width: a build that is higher is not drawn further, what is wrong is seen by then."""
_GROUNDS = (
    (Ink.COPPER, Qt.BrushStyle.SolidPattern),
    (Ink.COPPER_PALE, Qt.BrushStyle.SolidPattern),
    (Ink.COPPER, Qt.BrushStyle.Dense5Pattern),
    (Ink.COPPER, Qt.BrushStyle.HorPattern),
)


class SectionView(CardFrame):
    """plan: None where it can't be laid, and `why` says what is missing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plan: WindingPlan | None = None
        self._why = ""
        self._caption = ""
        self.setAccessibleName("window section")

    @property
    def plan(self) -> WindingPlan | None:
        return self._plan

    def show_plan(self, plan: WindingPlan | None, why: str, caption: str) -> None:
        if plan is self._plan and why == self._why and caption == self._caption:
            return
        self._plan, self._why, self._caption = plan, why, caption
        told = why
        if plan is not None:
            told = ", ".join(
                f"{one.name} {one.winding.turns} turns in {len(one.layers)} layers" for one in plan.windings
            )
        self.setAccessibleDescription(told)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        room = QRectF(self.rect()).adjusted(12 * scale, 6 * scale, -12 * scale, -8 * scale)
        head = QRectF(room.left(), room.top(), room.width(), 22 * scale)
        write(self, painter, head, self._caption, 16, Ink.QUIET)
        body = room.adjusted(0, 24 * scale, 0, 0)
        if self._plan is None:
            wrap(self, painter, body, self._why, 22)
        else:
            _Drawing(self, painter, self._plan, body, scale).draw()
        painter.end()


class _Drawing:
    """Places on the screen for places in the window [m]."""

    def __init__(self, view: SectionView, painter: QPainter, plan: WindingPlan, body: QRectF, scale: float) -> None:
        self.view, self.painter, self.plan, self.scale = view, painter, plan, scale
        shape = plan.shape
        self.most = _OVER * shape.window_width
        high = min(max(plan.outer, shape.window_width), self.most)
        self.iron = body.height() * _IRON
        figures = 24 * scale
        tall = body.height() - 2 * self.iron - figures
        wide = body.width() * (1 - _WORDS) - self.iron
        self.px = min(wide / shape.window_height, tall / high)
        self.left = body.left() + self.iron * 0.6
        self.right = self.left + shape.window_height * self.px
        self.leg = body.top() + self.iron + high * self.px + max(0.0, (tall - high * self.px) / 2)
        self.body = body

    def x(self, along: float) -> float:
        """Of a place along the leg, from the left flange's inner face [m]."""
        return self.left + (along + self.plan.former) * self.px

    def y(self, height: float) -> float:
        """Of a height over the leg [m]."""
        return self.leg - min(height, self.most) * self.px

    def draw(self) -> None:
        self._iron()
        self._former()
        number = 0
        for one in self.plan.items:
            if isinstance(one, PlannedWinding):
                self._winding(one, number)
                number += 1
            else:
                self._screen(one)
        self._between()
        self._room_left()
        self._names()

    def _rect(self, left: float, right: float, inner: float, outer: float) -> QRectF:
        return QRectF(left, self.y(outer), right - left, max(0.0, self.y(inner) - self.y(outer)))

    def _iron(self) -> None:
        p, top = self.painter, self.y(self.plan.shape.window_width)
        p.setPen(QPen(Ink.QUIET.colour, 1))
        iron = QRectF(self.left - self.iron * 0.5, top - self.iron, self.right - self.left + self.iron,
                      self.leg - top + 2 * self.iron)  # fmt: skip
        p.setBrush(Ink.LINE.colour)
        p.drawRect(iron)
        p.setBrush(QBrush(Ink.QUIET.colour, Qt.BrushStyle.BDiagPattern))
        p.drawRect(iron)
        p.setBrush(Ink.CARD.colour)
        p.drawRect(QRectF(self.left, top, self.right - self.left, self.leg - top))

    def _former(self) -> None:
        p, former = self.painter, self.plan.former
        p.setPen(Qt.PenStyle.NoPen)
        p.setBrush(Ink.DOUBT_PALE.colour)
        p.drawRect(self._rect(self.left, self.right, 0.0, former))
        top = min(self.plan.outer, self.plan.shape.window_width)
        p.drawRect(self._rect(self.left, self.x(0), 0.0, top))
        p.drawRect(self._rect(self.x(self.plan.between_flanges), self.right, 0.0, top))

    def _winding(self, one: PlannedWinding, number: int) -> None:
        ink, style = _GROUNDS[number % len(_GROUNDS)]
        p = self.painter
        for layer in one.layers:
            if layer.outer > self.most:
                return
            if one.overall * self.px >= _SEEN:
                self._turns(one, layer, ink, style)
                continue
            left, right = sorted((self.x(layer.start), self.x(layer.end)))
            p.setPen(QPen(Ink.TEXT.colour, 0.8))
            p.setBrush(Ink.CARD.colour)
            place = self._rect(left, right, layer.inner, layer.outer)
            p.drawRect(place)
            p.setBrush(QBrush(ink.colour, style))
            p.drawRect(place)

    def _turns(self, one: PlannedWinding, layer: PlannedLayer, ink: Ink, style: Qt.BrushStyle) -> None:
        p, strands = self.painter, one.winding.strands
        p.setPen(QPen(Ink.TEXT.colour, 0.8))
        p.setBrush(QBrush(ink.colour, style))
        half = one.overall * self.px / 2
        y = self.y((layer.inner + layer.outer) / 2)
        for turn in range(layer.turns):
            for strand in range(strands):
                at = layer.start + layer.direction * (turn + (strand + 0.5) / strands) * layer.pitch
                p.drawEllipse(QPointF(self.x(at), y), half, half)

    def _screen(self, one: PlannedScreen) -> None:
        if one.outer > self.most:
            return
        self.painter.setPen(QPen(Ink.TEXT.colour, 3 * self.scale))
        y = self.y((one.inner + one.outer) / 2)
        start = self.plan.margin
        self.painter.drawLine(QPointF(self.x(start), y), QPointF(self.x(start + one.width), y))

    def _between(self) -> None:
        """Insulation between windings and screens, and the last cover."""
        edges = [(one.inner, one.outer) for one in self.plan.items]
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(Ink.EMPTY.colour)
        for (_, outer), inner in zip(edges, [*(inner for inner, _ in edges[1:]), self.plan.outer], strict=True):
            self.painter.drawRect(self._rect(self.x(0), self.x(self.plan.between_flanges), outer, inner))

    def _room_left(self) -> None:
        plan, p = self.plan, self.painter
        top = self.y(plan.shape.window_width)
        words = f"{plan.room_left * 1e3:.1f} mm free"
        ink = Ink.TEXT
        if plan.room_left < 0:
            words, ink = f"{-plan.room_left * 1e3:.1f} mm too high: it does not fit", Ink.BAD
            p.setPen(QPen(Ink.BAD.colour, 2))
            p.setBrush(QBrush(Ink.BAD.colour, Qt.BrushStyle.DiagCrossPattern))
            p.drawRect(self._rect(self.left, self.right, plan.shape.window_width, plan.outer))
        p.setPen(QPen(Ink.TEXT.colour, 2.5 * self.scale))
        p.drawLine(QPointF(self.left, top), QPointF(self.right, top))
        size = f"window {plan.shape.window_height * 1e3:.3g} x {plan.shape.window_width * 1e3:.3g} mm"
        foot = QRectF(self.left, self.leg + self.iron + 2, self.body.right() - self.left, 24 * self.scale)
        write(self.view, p, foot, f"{size}, {words}", 17, ink, bold=QFont.Weight.DemiBold)

    def _names(self) -> None:
        """Beside the window at their own height, moved apart where they would lie on each other."""
        p, items = self.painter, self.plan.items
        row = min(30 * self.scale, (self.leg - self.body.top()) / max(1, len(items)))
        left = self.right + self.iron * 0.6 + 14 * self.scale
        levels = [self.y(min((one.inner + one.outer) / 2, self.most)) for one in items]
        places: list[float] = []
        for level in levels:
            places.append(min(level, places[-1] - row) if places else min(level, self.leg - row / 2))
        lowest = self.body.top() + row / 2
        if places and places[-1] < lowest:
            places = [max(at, lowest + (len(places) - 1 - n) * row) for n, at in enumerate(places)]
        for one, level, at in zip(items, levels, places, strict=True):
            p.setPen(QPen(Ink.QUIET.colour, 1))
            p.drawPolyline([QPointF(self.x(self.plan.between_flanges), level), QPointF(left - 12 * self.scale, level),
                            QPointF(left - 3 * self.scale, at)])  # fmt: skip
            name = one.name if isinstance(one, PlannedWinding) else one.screen.name
            place = QRectF(left, at - row / 2, self.body.right() - left, row)
            write(self.view, p, place, name, 20, Ink.TEXT, bold=QFont.Weight.DemiBold)
