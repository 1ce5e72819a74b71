"""Paints the core's window with all that lies in it, to scale, leg below and left flange left, in one state."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen, QPolygonF

from bench.dashboard.parts.look import Ink, font_of
from bench.dashboard.winding.on_former import Area
from bench.design.plan import PlannedLayer, PlannedScreen, PlannedWinding, WindingPlan

__all__ = ["Look", "Places", "paint_window"]

_WIRE_SEEN = 2.0
"""Diameter [px] from which a turn is drawn as a circle; a finer one goes into the bar of its layer."""
_OUTLINE_SEEN = 4.0
"""Diameter [px] from which a turn to come has an outline of its own."""
_FOIL = 2.5
"""Least width [px] of a screen: at its own thickness it would not be seen."""
_OVER = 1.5
"""Of the window's width: a build that is higher still is not drawn further."""
_CORE = 9.0
"""Width [px] of what is shown of the core around its window."""


class Look(Enum):
    """How all turns are painted: still to come, on, or on and of the winding that is wound now."""

    COMING = "coming"
    ON = "on"
    NOW = "now"


@dataclass(frozen=True)
class Places:
    """Places on the widget [px] for places in the window [m]: scale [px/m];  left: of the left flange's inner face;
    foot: of the leg's face;  by: how much larger all is than designed."""

    plan: WindingPlan
    scale: float
    left: float
    foot: float
    by: float

    @classmethod
    def in_room(cls, plan: WindingPlan, room: QRectF, by: float) -> Places:
        """The largest that the room holds; by: how much larger all is than designed."""
        core = _CORE * by
        high = min(max(plan.shape.window_width, plan.outer), _OVER * plan.shape.window_width)
        inner = room.adjusted(core, core, -core, -core)
        scale = max(1e-6, min(inner.width() / plan.shape.window_height, inner.height() / high))
        left = inner.center().x() - plan.shape.window_height * scale / 2 + plan.former * scale
        return cls(plan, scale, left, inner.center().y() + high * scale / 2, by)

    @property
    def core(self) -> float:
        """What is shown of the core around its window [px]."""
        return _CORE * self.by

    def x(self, along: float) -> float:
        return self.left + along * self.scale

    def y(self, height: float) -> float:
        return self.foot - height * self.scale

    def rect(self, area: Area) -> QRectF:
        return QRectF(QPointF(self.x(area.left), self.y(area.outer)), QPointF(self.x(area.right), self.y(area.inner)))

    @property
    def window(self) -> QRectF:
        """The core's window."""
        plan = self.plan
        return self.rect(Area(-plan.former, plan.shape.window_height - plan.former, 0.0, plan.shape.window_width))

    def wire(self, one: PlannedWinding) -> float:
        """Diameter over the enamel [px]."""
        return one.overall * self.scale


def paint_window(painter: QPainter, places: Places, look: Look) -> None:
    """All of it, with every turn in that look."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _core_and_former(painter, places)
    plan = places.plan
    edges = [(one.inner, one.outer) for one in plan.items]
    for (_, outer), inner in zip(edges, [*(inner for inner, _ in edges[1:]), plan.outer], strict=True):
        _strip(painter, places, outer, inner, look)
    for one in plan.items:
        if isinstance(one, PlannedWinding):
            _winding(painter, places, one, look)
        else:
            _screen(painter, places, one, look)
    if look is Look.COMING:
        _free(painter, places)


def _core_and_former(painter: QPainter, places: Places) -> None:
    plan, window = places.plan, places.window
    core = window.adjusted(-places.core, -places.core, places.core, places.core)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Ink.LINE.colour)
    painter.drawRect(core)
    painter.setBrush(QBrush(Ink.QUIET.colour, Qt.BrushStyle.BDiagPattern))
    painter.drawRect(core)
    painter.setBrush(Ink.CARD.colour)
    painter.drawRect(window)
    painter.setPen(QPen(Ink.QUIET.colour, places.by))
    painter.setBrush(Ink.EMPTY.colour)
    end, high = plan.between_flanges, plan.shape.window_width
    for area in (
        Area(-plan.former, end + plan.former, 0.0, plan.former),
        Area(-plan.former, 0.0, 0.0, high),
        Area(end, end + plan.former, 0.0, high),
    ):
        painter.drawRect(places.rect(area))


def _strip(painter: QPainter, places: Places, inner: float, outer: float, look: Look) -> None:
    """Insulation from flange to flange."""
    if outer <= inner:
        return
    place = places.rect(Area(0.0, places.plan.between_flanges, inner, outer))
    if look is Look.COMING:
        painter.setPen(QPen(Ink.LINE.colour, places.by, Qt.PenStyle.DotLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
    else:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.DOUBT_PALE.colour)
    painter.drawRect(place)


def _winding(painter: QPainter, places: Places, one: PlannedWinding, look: Look) -> None:
    end, margin = places.plan.between_flanges, places.plan.margin
    if look is not Look.COMING and margin > 0:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Ink.EMPTY.colour)
        for left, right in ((0.0, margin), (end - margin, end)):
            painter.drawRect(places.rect(Area(left, right, one.inner, one.outer)))
    for layer, following in zip(one.layers, (*one.layers[1:], None), strict=True):
        _layer(painter, places, one, layer, look)
        if following is not None and look is not Look.COMING:
            _strip(painter, places, layer.outer, following.inner, look)
    # over all layers, since they are larger than one
    for tap, height in ((tap, (each.inner + each.outer) / 2) for each in one.layers for tap in each.taps):
        painter.setPen(QPen(Ink.TEXT.colour, 1.5 * places.by))
        painter.setBrush(Ink.CARD.colour)
        middle = QPointF(places.x(tap.position), places.y(height))
        painter.drawEllipse(middle, 3.5 * places.by, 3.5 * places.by)


def _layer(painter: QPainter, places: Places, one: PlannedWinding, layer: PlannedLayer, look: Look) -> None:
    wire = places.wire(one)
    fill = {Look.COMING: Ink.CARD, Look.ON: Ink.COPPER_PALE, Look.NOW: Ink.COPPER}[look]
    if wire < (_OUTLINE_SEEN if look is Look.COMING else _WIRE_SEEN):
        left, right = sorted((layer.start, layer.end))
        painter.setPen(QPen(Ink.LINE.colour, places.by) if look is Look.COMING else Qt.PenStyle.NoPen)
        painter.setBrush(fill.colour)
        painter.drawRect(places.rect(Area(left, right, layer.inner, layer.outer)))
        return
    edge = {Look.COMING: Ink.LINE, Look.ON: Ink.COPPER, Look.NOW: Ink.TEXT}[look]
    line = places.by if look is Look.COMING else min(1.2 * places.by, wire / 8)
    height = places.y((layer.inner + layer.outer) / 2)
    wires = QPolygonF([QPointF(places.x(along), height) for along in layer.wires(one.winding.strands)])
    if wire >= _OUTLINE_SEEN:
        _discs(painter, wires, wire, edge)
        wire -= 2 * line
    _discs(painter, wires, wire, fill)


def _discs(painter: QPainter, middles: QPolygonF, diameter: float, ink: Ink) -> None:
    """As the points of a broad round pen: one call for a layer, where an ellipse for each turn takes ten times as
    long."""
    painter.setPen(QPen(ink.colour, diameter, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPoints(middles)


def _screen(painter: QPainter, places: Places, one: PlannedScreen, look: Look) -> None:
    coming = look is Look.COMING
    wide = max(_FOIL * places.by, (one.outer - one.inner) * places.scale)
    style = Qt.PenStyle.DashLine if coming else Qt.PenStyle.SolidLine
    pen = QPen(
        (Ink.QUIET if look is Look.COMING else Ink.TEXT).colour, 1.2 * places.by if look is Look.COMING else wide, style
    )
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    margin, height = places.plan.margin, places.y((one.inner + one.outer) / 2)
    painter.drawLine(QPointF(places.x(margin), height), QPointF(places.x(margin + one.width), height))


def _free(painter: QPainter, places: Places) -> None:
    """What is left of the window, or by how much it does not fit."""
    plan = places.plan
    if plan.room_left < 0:
        painter.setPen(QPen(Ink.BAD.colour, 3 * places.by, Qt.PenStyle.DashLine))
        edge = places.y(plan.shape.window_width)
        painter.drawLine(QPointF(places.window.left(), edge), QPointF(places.window.right(), edge))
    place = places.rect(Area(0.0, plan.between_flanges, min(plan.outer, plan.shape.window_width),
                             max(plan.outer, plan.shape.window_width)))  # fmt: skip
    size = round(min(15 * places.by, place.height() * 0.8))
    if size < 9 * places.by:
        return
    words = f"{plan.room_left * 1e3:.1f} mm free" if plan.room_left >= 0 else f"{-plan.room_left * 1e3:.1f} mm too high"
    painter.setFont(font_of(size))
    painter.setPen((Ink.QUIET if plan.room_left >= 0 else Ink.BAD).colour)
    painter.drawText(place.adjusted(6 * places.by, 0, -6 * places.by, 0), Qt.AlignmentFlag.AlignCenter, words)
