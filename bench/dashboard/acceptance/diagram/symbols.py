"""The symbols of the drawing: coils, core, screens, terminals, meters, sources; general symbols of circuit diagrams."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QPolygonF

from bench.dashboard.acceptance.diagram.lead_colours import lead_colours
from bench.dashboard.acceptance.diagram.places import Coil, Spot
from bench.dashboard.acceptance.diagram.routes import Kind, Symbol
from bench.dashboard.parts.look import Ink, largest_font

__all__ = ["draw_coil", "draw_hood", "draw_stub", "draw_symbol", "draw_terminal", "hatch"]

_CENTRE = Qt.AlignmentFlag.AlignCenter


def pen_of(ink: Ink, width: float, *, dashed: bool = False) -> QPen:
    """A pen with flat corners."""
    style = Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine
    return QPen(ink.colour, width, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)


def draw_coil(painter: QPainter, coil: Coil, wide: float, scale: float) -> None:
    """Half turns from the first lead to the last, bulging to the core; a dot where the turns begin."""
    turns = max(3, round((coil.bottom - coil.top) / (13 * scale)))
    step = (coil.bottom - coil.top) / turns
    path = QPainterPath(QPointF(coil.x, coil.top))
    bulge = min(wide * 0.8, step)
    for number in range(turns):
        top = coil.top + number * step
        room = QRectF(coil.x - bulge, top, 2 * bulge, step)
        # Left coils bulge to the right and right ones to the left: both towards the core.
        path.arcTo(room, 90, -180 if coil.side < 0 else 180)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen_of(Ink.COPPER, 2.6 * scale))
    painter.drawPath(path)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Ink.TEXT.colour)
    # Beyond the end of the coil, where neither a turn nor a label is.
    off = -3 * scale if coil.dot <= (coil.top + coil.bottom) / 2 else 3 * scale
    painter.drawEllipse(QPointF(coil.x - coil.side * 7 * scale, coil.dot + off), 2.8 * scale, 2.8 * scale)


def draw_stub(painter: QPainter, spot: Spot, far: float, scale: float) -> None:
    """The lead's wire from the winding to its end, in its own colours, with a dark edge that shows the pale ones."""
    begin, end = QPointF(far, spot.y), QPointF(spot.x, spot.y)
    colours = lead_colours(spot.lead.colour)
    flat = Qt.PenCapStyle.FlatCap
    if not colours:
        painter.setPen(QPen(Ink.QUIET.colour, 2 * scale, Qt.PenStyle.SolidLine, flat))
        painter.drawLine(begin, end)
        return
    painter.setPen(QPen(Ink.TEXT.colour, 5.6 * scale, Qt.PenStyle.SolidLine, flat))
    painter.drawLine(begin, end)
    painter.setPen(QPen(QColor(colours[0]), 3.8 * scale, Qt.PenStyle.SolidLine, flat))
    painter.drawLine(begin, end)
    if len(colours) > 1:
        stripe = QPen(QColor(colours[1]), 3.8 * scale, Qt.PenStyle.CustomDashLine, flat)
        stripe.setDashPattern([1.6, 1.6])
        painter.setPen(stripe)
        painter.drawLine(begin, end)


def draw_terminal(painter: QPainter, spot: Spot, radius: float, *, now: bool) -> None:
    """A small circle with the lead's tag in it; thick where something is to be joined to it now."""
    painter.setBrush(Ink.CARD.colour)
    painter.setPen(pen_of(Ink.COPPER if now else Ink.TEXT, radius * (0.28 if now else 0.13)))
    painter.drawEllipse(QPointF(spot.x, spot.y), radius, radius)
    if spot.lead.tag:
        side = round(radius * 1.7)
        painter.setFont(largest_font(spot.lead.tag, side, side + 6, side, 6, QFont.Weight.Bold))
        painter.setPen(Ink.TEXT.colour)
        room = QRectF(spot.x - radius, spot.y - radius, 2 * radius, 2 * radius)
        painter.drawText(room, _CENTRE, spot.lead.tag)


def draw_hood(painter: QPainter, spot: Spot, radius: float) -> None:
    """A cover over an open end: a hatched hood round the outer side of its circle."""
    outer = radius * 1.75
    room = QRectF(spot.x - outer, spot.y - outer, 2 * outer, 2 * outer)
    inner = QRectF(spot.x - radius, spot.y - radius, 2 * radius, 2 * radius)
    start = 90 if spot.side < 0 else -90
    path = QPainterPath()
    path.arcMoveTo(room, start)
    path.arcTo(room, start, 180)
    path.arcTo(inner, start + 180, -180)
    path.closeSubpath()
    hatch(painter, path, radius * 0.55)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen_of(Ink.BAD, max(1.2, radius * 0.14)))
    painter.drawPath(path)


def hatch(painter: QPainter, path: QPainterPath, pitch: float) -> None:
    """Slanted stripes inside a shape."""
    painter.save()
    painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
    painter.fillPath(path, Ink.BAD_PALE.colour)
    painter.setPen(QPen(Ink.BAD.colour, max(1.0, pitch * 0.36)))
    room = path.boundingRect()
    x = room.left() - room.height()
    while x < room.right():
        painter.drawLine(QPointF(x, room.bottom()), QPointF(x + room.height(), room.top()))
        x += pitch
    painter.restore()


def draw_symbol(painter: QPainter, symbol: Symbol, scale: float) -> None:
    """A meter, source, lamp, resistor, earth, or a point on a wire; its words are drawn with the labels."""
    ink = Ink.COPPER if symbol.now else Ink.TEXT
    middle, radius = QPointF(symbol.x, symbol.y), symbol.radius
    painter.setBrush(Ink.CARD.colour)
    painter.setPen(pen_of(ink, (3.0 if symbol.now else 1.8) * scale))
    if symbol.kind == Kind.METER:
        painter.drawEllipse(middle, radius, radius)
        _letters(painter, symbol, ink)
    elif symbol.kind in (Kind.SOURCE, Kind.VARIAC):
        painter.drawEllipse(middle, radius, radius)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        _wave(painter, symbol)
        if symbol.kind == Kind.VARIAC:
            _arrow(painter, symbol, ink)
    elif symbol.kind == Kind.LAMP:
        radius = min(radius, 13 * scale)
        painter.drawLine(QPointF(symbol.x - symbol.radius, symbol.y), QPointF(symbol.x + symbol.radius, symbol.y))
        painter.drawEllipse(middle, radius, radius)
        for sign in (-1, 1):
            off = radius * math.sqrt(0.5)
            painter.drawLine(middle - QPointF(off, sign * off), middle + QPointF(off, sign * off))
    elif symbol.kind == Kind.RESISTOR:
        long, thick = radius, 6.5 * scale
        wide, high = (thick, long) if symbol.upright else (long, thick)
        painter.drawRect(QRectF(symbol.x - wide, symbol.y - high, 2 * wide, 2 * high))
    elif symbol.kind == Kind.EARTH:
        _earth(painter, symbol, scale)
    elif symbol.kind == Kind.NODE:
        painter.drawEllipse(middle, radius, radius)


def _letters(painter: QPainter, symbol: Symbol, ink: Ink) -> None:
    side = round(symbol.radius * 1.5)
    painter.setFont(largest_font(symbol.letters, side, side + 8, round(symbol.radius * 1.25), 7, QFont.Weight.Bold))
    painter.setPen(ink.colour)
    room = QRectF(symbol.x - symbol.radius, symbol.y - symbol.radius, 2 * symbol.radius, 2 * symbol.radius)
    painter.drawText(room, _CENTRE, symbol.letters)


def _wave(painter: QPainter, symbol: Symbol) -> None:
    wide, high = symbol.radius * 0.55, symbol.radius * 0.3
    points = [
        QPointF(symbol.x + wide * step / 8, symbol.y - high * math.sin(math.pi * step / 8)) for step in range(-8, 9)
    ]
    painter.drawPolyline(QPolygonF(points))


def _arrow(painter: QPainter, symbol: Symbol, ink: Ink) -> None:
    """Slanted across: its volts are turned up and down."""
    reach = symbol.radius * 1.25
    tip = QPointF(symbol.x + reach * 0.8, symbol.y - reach * 0.8)
    painter.drawLine(QPointF(symbol.x - reach * 0.8, symbol.y + reach * 0.8), tip)
    head = symbol.radius * 0.42
    painter.setBrush(ink.colour)
    painter.drawPolygon(
        QPolygonF([tip, tip + QPointF(-head * 1.2, head * 0.2), tip + QPointF(-head * 0.2, head * 1.2)])
    )


def _earth(painter: QPainter, symbol: Symbol, scale: float) -> None:
    foot = symbol.y + symbol.radius + 3 * scale
    painter.drawLine(QPointF(symbol.x, symbol.y + symbol.radius), QPointF(symbol.x, foot))
    for number, half in enumerate((11, 7, 3)):
        y = foot + number * 4 * scale
        painter.drawLine(QPointF(symbol.x - half * scale, y), QPointF(symbol.x + half * scale, y))
