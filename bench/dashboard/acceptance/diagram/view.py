"""The drawing of this unit with its own names and colours, and what is to be joined to it now."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPainterPath, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from bench.dashboard.acceptance.diagram.places import Box, Label, Places, Spot, places_of
from bench.dashboard.acceptance.diagram.rig import Part, Rig
from bench.dashboard.acceptance.diagram.routes import Routes, Symbol, Wire, routes_of
from bench.dashboard.acceptance.diagram.symbols import (
    draw_coil,
    draw_hood,
    draw_stub,
    draw_symbol,
    draw_terminal,
    hatch,
    pen_of,
)
from bench.dashboard.parts.look import Ink, Shape, font_of, largest_font
from bench.dashboard.parts.signs import draw_sign
from bench.job.model import Job
from bench.job.winding import Lead

__all__ = ["DiagramView"]

_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_ASPECT = 1.02
"""The most that it is wider than high: a wide room leaves space at its sides."""


class DiagramView(QWidget):
    """What is to be joined now is thick and copper, what stands already thin; hatched hoods cover what is live."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._job: Job | None = None
        self._rig = Rig()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("the unit and what is joined to it")

    def show_rig(self, job: Job | None, rig: Rig) -> None:
        if job is self._job and rig == self._rig:
            return
        self._job, self._rig = job, rig
        self.setAccessibleDescription(rig_words(rig))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        if self._job is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wide = min(float(self.width()), self.height() * 530 / 320 * _ASPECT)
        painter.translate((self.width() - wide) / 2, 0)
        places = places_of(self._job, wide, float(self.height()))
        _Drawing(painter, places, self._rig, routes_of(self._rig, places)).draw()
        painter.end()


def rig_words(rig: Rig) -> str:
    """The same in words, for whoever can't see it."""
    said = []
    for place in rig.meters:
        said.append(f"{place.quantity.value.replace('_', ' ')} from {place.from_terminal} to {place.to_terminal}")
        said += [f"{one} joined with {other}" for one, other in place.links]
    if rig.feed is not None:
        off = " at zero" if rig.now is Part.OFF else f", {rig.feed.volts:.4g} V"
        said.append(f"{rig.feed.source} on {rig.feed.from_terminal} and {rig.feed.to_terminal}{off}")
    said += [f"load on {load.from_terminal} and {load.to_terminal}" for load in rig.loads]
    if rig.tester is not None:
        said.append(f"tester between {rig.tester[0]} and {rig.tester[1]}")
    if rig.earthed:
        said.append("core and screens earthed")
    if rig.covers:
        said.append("every open end covered")
    return "; ".join(said)


class _Drawing:
    def __init__(self, painter: QPainter, places: Places, rig: Rig, routes: Routes) -> None:
        self._painter, self._at, self._rig, self._routes = painter, places, rig, routes
        self._scale = places.scale
        self._asked = {end for wire in routes.wires if wire.now for end in wire.ends}

    def draw(self) -> None:
        if self._rig.live:
            self._barrier()
        self._iron()
        for coil in self._at.coils:
            draw_coil(self._painter, coil, 26 * self._scale, self._scale)
        shown = [spot for spot in self._at.spots.values() if self._shown(spot)]
        for spot in shown:
            draw_stub(self._painter, spot, self._far(spot), self._scale)
        # What stands already lies under what is to be done.
        for wire in sorted(self._routes.wires, key=lambda one: one.now):
            self._wire(wire)
        for name in self._routes.covered:
            draw_hood(self._painter, self._at.spots[name], self._at.radius)
        for spot in shown:
            draw_terminal(self._painter, spot, self._at.radius, now=spot.name in self._asked)
        for symbol in self._routes.symbols:
            draw_symbol(self._painter, symbol, self._scale)
            self._symbol_words(symbol)
        self._labels()
        self._legend()

    def _labels(self) -> None:
        """Windings' names in one size, and leads' in one; a colour as large as it may be."""
        for heads, colours, most in ((True, False, 19.0), (False, False, 15.0), (False, True, 13.5)):
            kind = [
                label for label in self._at.labels
                if (label.bold, label.colour) == (heads, colours)
                and (label.of not in self._at.spots or self._shown(self._at.spots[label.of]))
            ]  # fmt: skip
            sizes = [self._fitting(label, most) for label in kind]
            if not colours:
                sizes = [min(sizes, default=6)] * len(kind)
            for label, size in zip(kind, sizes, strict=True):
                ink = Ink.TEXT if label.bold or label.of in self._asked else Ink.QUIET
                weight = QFont.Weight.Bold if label.bold else QFont.Weight.Normal
                self._write(label.words, label.box, ink, font_of(size, weight), right=label.right)

    def _fitting(self, label: Label, most: float) -> int:
        box, weight = label.box, QFont.Weight.Bold if label.bold else QFont.Weight.Normal
        size = max(6, round(min(most * self._scale, box.high * 1.05)))
        return largest_font(label.words, int(box.wide), int(box.high) + 5, size, 6, weight).pixelSize()

    def _shown(self, spot: Spot) -> bool:
        if spot.name == "earth.lead":
            return self._rig.earthed or spot.name in self._routes.used
        return True

    def _far(self, spot: Spot) -> float:
        """Where a lead comes from: its winding, its screen, the core."""
        coil = next((one for one in self._at.coils if one.name == spot.body), None)
        if coil is not None:
            return coil.x
        screen = self._at.screens.get(spot.body)
        if screen is not None:
            return screen[0]
        return self._at.core.left if spot.name == "core" else spot.x

    def _iron(self) -> None:
        core, painter = self._at.core, self._painter
        painter.setPen(pen_of(Ink.TEXT, 3.2 * self._scale))
        for x in (core.left + 2 * self._scale, core.right - 2 * self._scale):
            painter.drawLine(QPointF(x, core.top), QPointF(x, core.bottom))
        painter.setPen(pen_of(Ink.TEXT, 2 * self._scale, dashed=True))
        for x, top, bottom in self._at.screens.values():
            painter.drawLine(QPointF(x, top), QPointF(x, bottom))

    def _wire(self, wire: Wire) -> None:
        ink = Ink.COPPER if wire.now else Ink.QUIET if wire.out else Ink.TEXT
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.setPen(pen_of(ink, (3.2 if wire.now else 1.8) * self._scale, dashed=wire.out))
        self._painter.drawPolyline(QPolygonF([QPointF(*point) for point in wire.points]))
        if wire.clip:
            self._clip(wire, ink)

    def _clip(self, wire: Wire, ink: Ink) -> None:
        """A jaw at the terminal: a wedge that closes on it."""
        (x, y), (next_x, _) = wire.points[0], wire.points[1]
        spot = self._at.spots.get(wire.ends[0])
        side = (1 if next_x >= x else -1) if spot is None else spot.side
        size = 6.5 * self._scale
        tip = x + side * (self._at.radius + 0.5 * self._scale if spot is not None else 0.0)
        self._painter.setPen(Qt.PenStyle.NoPen)
        self._painter.setBrush(ink.colour)
        back = tip + side * size * 1.5
        self._painter.drawPolygon(
            QPolygonF([QPointF(tip, y), QPointF(back, y - size * 0.62), QPointF(back, y + size * 0.62)])
        )

    def _symbol_words(self, symbol: Symbol) -> None:
        if symbol.box is None or not symbol.words:
            return
        lines = symbol.words.splitlines()
        high = symbol.box.high / len(lines)
        for number, line in enumerate(lines):
            box = Box(symbol.box.left, symbol.box.top + number * high, symbol.box.wide, high)
            self._words(line, box, Ink.COPPER if symbol.now else Ink.TEXT, bold=symbol.now)

    def _words(self, words: str, box: Box, ink: Ink, *, bold: bool = False, right: bool = False) -> None:
        weight = QFont.Weight.Bold if bold else QFont.Weight.Normal
        most = max(6, round(min(box.high * 1.02, (18 if bold else 14.5) * self._scale)))
        font = largest_font(words, int(box.wide), int(box.high) + 4, most, 6, weight)
        self._write(words, box, ink, font, right=right)

    def _write(self, words: str, box: Box, ink: Ink, font: QFont, *, right: bool) -> None:
        self._painter.setFont(font)
        self._painter.setPen(ink.colour)
        room = QRectF(box.left, box.top - 2, box.wide, box.high + 4)
        self._painter.drawText(room, _RIGHT if right else _LEFT, words)

    def _barrier(self) -> None:
        """A hatched frame round all that is live."""
        spots, scale = self._at.spots.values(), self._scale
        left = min(spot.x for spot in spots) - 25 * scale
        right = max(spot.x for spot in spots) + 25 * scale
        top, bottom = self._at.core.top - 6 * scale, self._at.high - 3 * scale
        thick = 5 * scale
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        path.addRect(QRectF(left, top, right - left, bottom - top))
        path.addRect(QRectF(left + thick, top + thick, right - left - 2 * thick, bottom - top - 2 * thick))
        hatch(self._painter, path, 9 * scale)
        side = 30 * scale
        draw_sign(self._painter, QRectF(left - side * 0.2, top - side * 0.98, side, side), Shape.BOLT, Ink.BAD)

    def _legend(self) -> None:
        if self._rig.feed is None:
            place = Box(4 * self._scale, 2 * self._scale, 130 * self._scale, 20 * self._scale)
            self._words("feed off, as asked", place, Ink.QUIET)
        if not self._routes.covered:
            return
        scale, radius = self._scale, 7 * self._scale
        x, y = self._at.wide - 160 * scale, self._at.across_y - 6 * scale
        spot = Spot("", x, y, 1, Lead())
        draw_hood(self._painter, spot, radius)
        draw_terminal(self._painter, spot, radius, now=False)
        self._words(
            "open end: cover it", Box(x + 17 * scale, y - 10 * scale, 142 * scale, 20 * scale), Ink.BAD, bold=True
        )
