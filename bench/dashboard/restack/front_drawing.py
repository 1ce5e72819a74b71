"""A lamination from the front, cut through the middle of the coil: limbs, joint, wedge, band, bolts, earth."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from bench.dashboard.parts.look import Ink
from bench.dashboard.restack.draw_words import draw_leader
from bench.dashboard.restack.stacked import Stacked

__all__ = ["draw_front"]

_OF_CORE = 0.68
"""Share of the width that the core takes; the rest is for words."""
_EARTH_ROOM = 34.0


class _Front:
    """Where things lie [px]: core from its corner, with limbs of half a tongue."""

    def __init__(self, room: QRectF, stacked: Stacked, scale: float) -> None:
        shape = stacked.shape
        wide, high = 2 * (shape.tongue + shape.window_width), shape.window_height + shape.tongue
        over = 10 * scale
        self.unit = min(
            (room.width() * _OF_CORE - 2 * over) / wide, (room.height() - _EARTH_ROOM * scale - over) / high
        )
        self.core = QRectF(room.left() + over, room.top() + over, wide * self.unit, high * self.unit)
        self.limb = shape.tongue / 2 * self.unit
        self.words = QRectF(self.core.right() + 26 * scale, room.top(), 0, 0)
        self.words.setRight(room.right())
        window = QRectF(0, 0, shape.window_width * self.unit, shape.window_height * self.unit)
        self.left, self.right = QRectF(window), QRectF(window)
        self.left.moveTopLeft(self.core.topLeft() + QPointF(self.limb, self.limb))
        self.right.moveTopRight(self.core.topRight() + QPointF(-self.limb, self.limb))

    def place(self, y: float, scale: float) -> QRectF:
        """For words at this height."""
        return QRectF(self.words.left(), y - 11 * scale, self.words.width(), 22 * scale)


def draw_front(painter: QPainter, room: QRectF, stacked: Stacked, scale: float) -> None:
    """Into this place, words at its right."""
    at = _Front(room, stacked, scale)
    _steel(painter, at)
    _coil(painter, at, scale)
    _joint(painter, at, stacked, scale)
    _wedge(painter, at, stacked, scale)
    _band(painter, at, stacked, scale)
    _bolts(painter, at, stacked, scale)
    _earth(painter, at, stacked, scale)


def _steel(painter: QPainter, at: _Front) -> None:
    painter.setPen(QPen(Ink.QUIET.colour, 1.5))
    painter.setBrush(Ink.LINE.colour)
    painter.drawRect(at.core)
    painter.setBrush(Ink.CARD.colour)
    painter.drawRect(at.left)
    painter.drawRect(at.right)


def _coil(painter: QPainter, at: _Front, scale: float) -> None:
    painter.setPen(QPen(Ink.COPPER.colour, 1))
    painter.setBrush(Ink.COPPER_PALE.colour)
    inset = max(3.0, 0.06 * at.left.height())
    for window in (at.left, at.right):
        painter.drawRect(window.adjusted(inset, inset, -inset, -inset))


def _joint(painter: QPainter, at: _Front, stacked: Stacked, scale: float) -> None:
    """Where the I lies against the E: below for this layer, above for the next one."""
    below, above = at.core.bottom() - at.limb, at.core.top() + at.limb
    spans = (
        (at.core.left(), at.left.left()),
        (at.left.right(), at.right.left()),
        (at.right.right(), at.core.right()),
    )
    gap = stacked.said.gap if stacked.joined == "butt" else None
    for begin, end in spans:
        if gap is not None:
            thick = max(4.0 * scale, gap * at.unit)
            painter.fillRect(QRectF(begin, below - thick / 2, end - begin, thick), Ink.BAD.colour)
            continue
        painter.setPen(QPen(Ink.TEXT.colour, 1.5))
        painter.drawLine(QPointF(begin, below), QPointF(end, below))
        if stacked.joined != "butt":
            painter.setPen(QPen(Ink.QUIET.colour, 1, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(begin, above), QPointF(end, above))
    if gap is not None:
        words, ink = f"gap {gap * 1e3:.3g} mm", Ink.BAD
    else:
        words = "butt joint" if stacked.joined == "butt" else f"joint, {stacked.joined}"
        ink = Ink.BAD if stacked.looser else Ink.QUIET
    draw_leader(painter, QPointF(at.core.right(), below), at.place(below, scale), words, 16 * scale, ink)


def _wedge(painter: QPainter, at: _Front, stacked: Stacked, scale: float) -> None:
    said = stacked.said.wedge
    if said in (None, "none"):
        return
    wide = max(4.0 * scale, 0.12 * at.right.width())
    wedge = QRectF(at.right.left() - wide / 2, at.right.top() + 4, wide, at.right.height() - 8)
    left_out = said == "left out"
    painter.setPen(QPen(Ink.DOUBT.colour, 1.5, Qt.PenStyle.DashLine if left_out else Qt.PenStyle.SolidLine))
    painter.setBrush(Ink.CARD.colour if left_out else Ink.DOUBT_PALE.colour)
    painter.drawRect(wedge)
    y = at.core.top() + 0.68 * at.core.height()
    words, ink = ("no wedge", Ink.DOUBT) if left_out else ("wedge", Ink.QUIET)
    draw_leader(painter, QPointF(wedge.center().x(), y), at.place(y, scale), words, 16 * scale, ink)


def _band(painter: QPainter, at: _Front, stacked: Stacked, scale: float) -> None:
    """Outside it goes round core and coil; inside it closes round a winding."""
    said = stacked.said.band
    if said in (None, "none"):
        return
    high = 0.16 * at.core.height()
    over = 6 * scale
    whole = QRectF(at.core.left() - over, at.core.center().y() - high / 2, at.core.width() + 2 * over, high)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    words, ink = {
        "outside": ("band", Ink.QUIET),
        "inside": ("band inside", Ink.BAD),
        "left off": ("band left off", Ink.DOUBT),
    }[said]
    if said == "inside":
        painter.setPen(QPen(Ink.BAD.colour, 3 * scale))
        whole = QRectF(at.left.left() + 2, whole.top(), at.right.right() - at.left.left() - 4, high)
    else:
        style = Qt.PenStyle.DashLine if said == "left off" else Qt.PenStyle.SolidLine
        painter.setPen(QPen(Ink.TEXT.colour if said == "outside" else Ink.DOUBT.colour, 2 * scale, style))
    painter.drawRoundedRect(whole, 3, 3)
    y = whole.center().y()
    draw_leader(painter, QPointF(whole.right(), y), at.place(y, scale), words, 16 * scale, ink)


def _bolts(painter: QPainter, at: _Front, stacked: Stacked, scale: float) -> None:
    said = stacked.said.bolts
    if said in (None, "none"):
        return
    radius = max(3.0 * scale, 0.22 * at.limb)
    bare = said == "bare"
    half = at.limb / 2
    corners = [
        QPointF(x, y)
        for x in (at.core.left() + half, at.core.right() - half)
        for y in (at.core.top() + half, at.core.bottom() - half)
    ]
    for place in corners:
        painter.setPen(QPen((Ink.BAD if bare else Ink.TEXT).colour, 2))
        painter.setBrush((Ink.BAD if bare else Ink.CARD).colour)
        painter.drawEllipse(place, radius, radius)
        if not bare:  # in its tube
            painter.setBrush(Ink.QUIET.colour)
            painter.drawEllipse(place, radius * 0.45, radius * 0.45)
    words, ink = ("bolt bare", Ink.BAD) if bare else ("bolts in tubes", Ink.QUIET)
    y = at.core.top() + half
    draw_leader(painter, QPointF(at.core.right() - half, y), at.place(y, scale), words, 16 * scale, ink)


def _earth(painter: QPainter, at: _Front, stacked: Stacked, scale: float) -> None:
    """A lead from the core to earth, broken where it is not joined."""
    said = stacked.said.earth
    if said is None or (said == "none" and not stacked.due.screens):
        return
    foot = QPointF(at.core.left() + at.limb, at.core.bottom())
    symbol = foot + QPointF(0, 20 * scale)
    joined = said == "joined"
    ink = Ink.GOOD if joined else Ink.BAD
    painter.setPen(QPen(ink.colour, 2 * scale))
    if joined:
        painter.drawLine(foot, symbol)
    else:
        painter.drawLine(foot, foot + QPointF(0, 5 * scale))
        painter.drawLine(foot + QPointF(6 * scale, 9 * scale), foot + QPointF(0, 14 * scale))
        painter.drawLine(foot + QPointF(0, 14 * scale), symbol)
    for step, half in enumerate((10, 6.5, 3)):
        y = symbol.y() + 4 * scale * step
        painter.drawLine(QPointF(symbol.x() - half * scale, y), QPointF(symbol.x() + half * scale, y))
    words = "earthed" if joined else "not earthed" if said == "not joined" else "no earth lead"
    y = symbol.y() + 2 * scale
    at_words = at.place(y, scale)
    at_words.setLeft(symbol.x() + 34 * scale)
    draw_leader(painter, QPointF(symbol.x() + 12 * scale, y), at_words, words, 16 * scale, Ink.QUIET if joined else ink)
