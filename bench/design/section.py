"""The core's window to scale with everything that lies in it, so that one look tells whether it is meant like this."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from bench.design.canvas import Canvas, Label
from bench.design.plan import PlannedLayer, PlannedScreen, PlannedWinding, WindingPlan
from bench.design.section_labels import clipped, entry, in_mm, scale_words, spread
from bench.design.section_look import PATTERNS, STYLE, band_look, coil_look

__all__ = ["Section", "section_of"]

_SCALES = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0, 0.75, 0.5, 0.25, 0.1)
_TALLEST, _WIDEST = 150.0, 80.0
"""Of the window on paper [mm]: words and dimensions beside it have to go on A4 too."""

_SEEN = 1.0
"""A turn of that diameter on paper [mm] is drawn as a circle, a finer one goes into a hatched band."""

_LOWEST = 208.0
"""Where the window must end [mm]: dimensions, legend and scale go below it on the same page."""

_PAPER = 182.0
_DIMENSIONS, _LEG, _YOKE, _LIMB = 26.0, 11.0, 7.0, 8.0
_TYPE, _SMALL, _HEAD = 2.9, 2.6, 3.6
_ROW = 4.6
_OVER = 1.5
"""Of the window's width: a build that is higher still is not drawn further, what is wrong with it is seen by then."""
_FOIL = 0.45
"""Least width of a screen's line on paper [mm]: at its own 0.05 mm it would not print."""


@dataclass(frozen=True)
class Section:
    """scale: paper over copper;  width, height [mm] of the paper;  labels: all that is written, with places;
    turns_drawn: by winding, the turns that stand as circles, 0 where its layers are hatched bands."""

    svg: str
    scale: float
    width: float
    height: float
    labels: tuple[Label, ...]
    turns_drawn: dict[str, int]


def section_of(plan: WindingPlan) -> Section:
    """The window with the leg at its left edge, the left flange at the top."""
    return _Drawing(plan).drawn()


class _Drawing:
    """Places on paper [mm] for places in the window [m]."""

    def __init__(self, plan: WindingPlan) -> None:
        self.plan = plan
        self.canvas = Canvas()
        self.most = _OVER * plan.shape.window_width
        self.left = _DIMENSIONS + _LEG
        self.turns_drawn = {one.name: 0 for one in plan.windings}
        if not any(self._fits_the_paper(scale) for scale in _SCALES):
            self._fits_the_paper(_SCALES[-1])
        self.lowest_tap = self.top

    def _fits_the_paper(self, scale: float) -> bool:
        """Sets the places for that scale, and tells whether the paper holds them."""
        shape = self.plan.shape
        self.scale = scale
        across = min(max(shape.window_width, self.plan.outer), self.most) * 1e3 * scale
        tall = shape.window_height * 1e3 * scale
        self.words = self.left + across + _LIMB + 6.0
        self.entries = [entry(number, one, self._letters()) for number, one in enumerate(self.plan.items, start=1)]
        self.top = 2 + _HEAD + 3 + sum(len(lines) for lines in self.entries) * _ROW + 3 + _YOKE
        self.right = self.left + shape.window_width * 1e3 * scale
        self.bottom = self.top + tall
        return tall <= _TALLEST and across <= _WIDEST and self.bottom <= _LOWEST

    def _letters(self) -> int:
        """How many letters of a label the paper holds beside the drawing, its swatch left out."""
        return max(18, int((_PAPER - self.words - 9) / (_TYPE * 0.62)))

    def x(self, height: float) -> float:
        """Of a height over the leg [m]; where the drawing ends for what lies further out."""
        return self.left + min(height, self.most) * 1e3 * self.scale

    def y(self, place: float) -> float:
        """Of a place along the leg, from the left flange's inner face [m]."""
        return self.top + (place + self.plan.former) * 1e3 * self.scale

    def drawn(self) -> Section:
        self._core()
        self._former()
        coil = 0
        for one in self.plan.items:
            if isinstance(one, PlannedWinding):
                self._winding(one, coil)
                coil += 1
        self._between()
        self._screens()
        self._taps()
        self._labels()
        self._dimensions()
        height = self._legend()
        title = f"Window section {self.plan.job.identity.number}"
        self.canvas.write(Label(title, 2, 2 + _HEAD, _HEAD), "head")
        svg = self.canvas.svg(_PAPER, height, STYLE, PATTERNS, title)
        return Section(svg, self.scale, _PAPER, height, tuple(self.canvas.labels), self.turns_drawn)

    def _core(self) -> None:
        c, wide = self.canvas, self.right + _LIMB - (self.left - _LEG)
        x, over = self.left - _LEG, self.right - self.left
        c.rect(x, self.top - _YOKE, wide, self.bottom - self.top + 2 * _YOKE, "steel")
        c.rect(self.left, self.top, over, self.bottom - self.top, "air")

    def _former(self) -> None:
        plan, c = self.plan, self.canvas
        flange = plan.former * 1e3 * self.scale
        c.rect(self.left, self.top, self.right - self.left, flange, "former")
        c.rect(self.left, self.bottom - flange, self.right - self.left, flange, "former")
        c.rect(self.left, self.top + flange, flange, self.bottom - self.top - 2 * flange, "former")

    def _winding(self, one: PlannedWinding, number: int) -> None:
        end = self.plan.between_flanges
        x0, x1 = self.x(one.inner), self.x(one.outer)
        self.canvas.rect(x0, self.y(0), x1 - x0, self.y(end) - self.y(0), "air")
        for begin, stop in ((0.0, self.plan.margin), (end - self.plan.margin, end)):
            self.canvas.rect(x0, self.y(begin), x1 - x0, self.y(stop) - self.y(begin), "margin")
        for layer, following in zip(one.layers, (*one.layers[1:], None), strict=True):
            self._layer(one, layer, number)
            if following is not None and following.inner > layer.outer:
                self._strip(layer.outer, following.inner, "paper")

    def _layer(self, one: PlannedWinding, layer: PlannedLayer, number: int) -> None:
        diameter = one.overall * 1e3 * self.scale
        if layer.outer > self.most:
            return
        if diameter < _SEEN:
            y0, y1 = sorted((self.y(layer.start), self.y(layer.end)))
            self.canvas.rect(
                self.x(layer.inner), y0, self.x(layer.outer) - self.x(layer.inner), y1 - y0, band_look(number)
            )
            return
        strands = one.winding.strands
        middle = self.x((layer.inner + layer.outer) / 2)
        centres = [(middle, self.y(place)) for place in layer.wires(strands)]
        self.canvas.circles(centres, diameter / 2, coil_look(number))
        self.turns_drawn[one.name] += len(centres) // strands

    def _strip(self, inner: float, outer: float, look: str) -> None:
        y0, y1 = self.y(0), self.y(self.plan.between_flanges)
        self.canvas.rect(self.x(inner), y0, self.x(outer) - self.x(inner), y1 - y0, look)

    def _between(self) -> None:
        """Insulation between windings and screens, and the last cover."""
        edges = [(one.inner, one.outer) for one in self.plan.items]
        for (_, outer), inner in zip(edges, [*(inner for inner, _ in edges[1:]), self.plan.outer], strict=True):
            self._strip(outer, inner, "wrap")

    def _screens(self) -> None:
        plan = self.plan
        for one in (each for each in plan.screens if each.outer <= self.most):
            wide = max(_FOIL, (one.outer - one.inner) * 1e3 * self.scale)
            middle = self.x((one.inner + one.outer) / 2)
            y0, y1 = self.y(plan.margin), self.y(plan.margin + one.width)
            self.canvas.rect(middle - wide / 2, y0, wide, y1 - y0, "foil")

    def _taps(self) -> None:
        """A mark at each tap, its label at the right as near to its height as the others leave room."""
        marks = sorted(
            (self.y(tap.position), self.x((layer.inner + layer.outer) / 2), f"{tap.name}, turn {tap.turn}")
            for one in self.plan.windings
            for layer in one.layers
            for tap in layer.taps
            if layer.outer <= self.most
        )
        row, least, most = 1.5 * _SMALL, self.top + 3 * _SMALL, self.bottom - 3 * _SMALL
        for y, x, _ in marks:
            self.canvas.circles([(x, y)], 0.8, "tap")
        told = marks[: max(0, int((most - least) / row))]
        for (y, x, text), at in zip(told, spread([y for y, *_ in told], least, most, row), strict=True):
            way = [(x, y), (self.words - 4, y), (self.words - 1, at)]
            self.canvas.line(way, "halo")
            self.canvas.line(way, "leader")
            self.canvas.circles([(x, y)], 0.8, "tap")
            room = int((_PAPER - self.words) / (_SMALL * 0.62))
            self.canvas.write(Label(clipped(text, room), self.words, at + 0.35 * _SMALL, _SMALL))
            self.lowest_tap = at

    def _labels(self) -> None:
        """In the order of winding from the top; leaders don't cross, since the innermost goes up furthest."""
        c, y = self.canvas, 2 + _HEAD + 3.0
        coil = 0
        for one, lines in zip(self.plan.items, self.entries, strict=True):
            middle = self.x((one.inner + one.outer) / 2)
            level = y + 0.6 * _ROW
            way = [(middle, self.y(self.plan.margin)), (middle, level), (self.words - 1, level)]
            if one.outer <= self.most:
                c.line(way, "halo")
                c.line(way, "leader")
            self._swatch(one, self.words, level, coil)
            coil += isinstance(one, PlannedWinding)
            for line in lines:
                c.write(Label(line, self.words + 8, y + 0.6 * _ROW + 0.35 * _TYPE, _TYPE))
                y += _ROW

    def _swatch(self, one: PlannedWinding | PlannedScreen, x: float, y: float, number: int) -> None:
        if isinstance(one, PlannedScreen):
            self.canvas.rect(x, y - _FOIL / 2, 6.5, _FOIL, "foil")
        elif one.overall * 1e3 * self.scale < _SEEN:
            self.canvas.rect(x, y - 1.2, 6.5, 2.4, band_look(number))
        else:
            self.canvas.circles([(x + 1.2 + step * 2.1, y) for step in range(3)], 1.0, coil_look(number))

    def _dimensions(self) -> None:
        plan, c, edge = self.plan, self.canvas, self.left - _LEG
        c.along(self.y(plan.margin), self.y(plan.margin + plan.length), edge - 4, in_mm("layers ", plan.length), _SMALL)
        c.along(
            self.y(0), self.y(plan.between_flanges), edge - 11, in_mm("between flanges ", plan.between_flanges), _SMALL
        )
        c.along(self.top, self.bottom, edge - 18, in_mm("window ", plan.shape.window_height), _SMALL)
        y = self.bottom + _YOKE + 6
        c.across(self.left, self.x(plan.outer), y, in_mm("build ", plan.outer), _SMALL)
        if plan.room_left >= 0:
            c.across(self.x(plan.outer), self.right, y, in_mm("free ", plan.room_left), _SMALL, beside=True)
        else:
            c.across(
                self.right, self.x(plan.outer), y + 6, in_mm("DOES NOT FIT by ", -plan.room_left), _SMALL, beside=True
            )
            c.line([(self.right, self.top - _YOKE), (self.right, self.bottom + _YOKE)], "over")
        c.across(self.left, self.right, y + 6, in_mm("window ", plan.shape.window_width), _SMALL)
        for text, at in (("left flange", self.top), ("right flange", self.bottom)):
            middle = at + (0.5 if at == self.top else -0.5) * plan.former * 1e3 * self.scale
            way = [(self.right - 1, middle), (self.words - 1, middle)]
            c.line(way, "halo")
            c.line(way, "leader")
            c.write(Label(text, self.words, middle + 0.35 * _SMALL, _SMALL))

    def _legend(self) -> float:
        """What is no winding, and the scale; gives the height of the paper.

        In the free corner beside the window, or under the dimensions where taps have taken it.
        """
        plan, c, under = self.plan, self.canvas, self.bottom + _YOKE + 12
        rows = [
            ("steel", "core: leg at the left, limb at the right"),
            ("former", in_mm("former, wall and flanges ", plan.former)),
            ("margin", in_mm("margin of a layer ", plan.margin)),
            ("wrap", in_mm("between windings and last cover ", plan.between_windings)),
        ]
        if plan.between_layers > 0:
            rows.append(("paper", in_mm("between layers ", plan.between_layers)))
        letters = int((_PAPER - self.words - 9) / (_SMALL * 0.62))
        texts = [textwrap.wrap(text, letters) for _, text in rows]
        tall = sum(len(lines) for lines in texts) * _ROW
        beside = self.bottom - 12 - tall
        y = beside if beside > self.lowest_tap + _ROW else under + 6
        left = self.words
        for (look, _), lines in zip(rows, texts, strict=True):
            c.rect(left, y - 1.2, 6.5, 2.4, f"{look} swatch")
            for line in lines:
                c.write(Label(line, left + 8, y + 0.35 * _SMALL, _SMALL))
                y += _ROW
        end = max(under, y) if beside <= self.lowest_tap + _ROW else under
        self._scale_bar(end)
        return end + 11

    def _scale_bar(self, y: float) -> None:
        length = next(one for one in (5, 10, 20, 50, 100, 200) if one * self.scale >= 18)
        step, x = length * self.scale / 5, _PAPER - length * self.scale - 12
        for part in range(5):
            self.canvas.rect(x + part * step, y - 1, step, 1.6, "bar pale" if part % 2 else "bar")
        self.canvas.write(Label("0", x, y + 4, _SMALL, "middle"))
        self.canvas.write(Label(f"{length} mm", x + 5 * step, y + 4, _SMALL, "middle"))
        self.canvas.write(Label(f"{scale_words(self.scale)}, printed at 100 %", _PAPER - 2, y + 8.5, _SMALL, "end"))
