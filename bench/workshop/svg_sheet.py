"""A sheet of paper in SVG, drawn on in millimetres with the lines of a technical drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal
from xml.sax.saxutils import escape

__all__ = ["Anchor", "Line", "SvgSheet"]

Line = Literal["outline", "thin", "hidden", "centre", "limit"]
"""outline: what is seen;  thin: dimensions;  hidden: what lies behind;  centre: axes;  limit: bounds of a neighbour."""

Anchor = Literal["start", "middle", "end"]

_LINES: dict[Line, str] = {
    "outline": 'stroke="#000" stroke-width="0.5"',
    "thin": 'stroke="#333" stroke-width="0.18"',
    "hidden": 'stroke="#000" stroke-width="0.25" stroke-dasharray="2 1"',
    "centre": 'stroke="#333" stroke-width="0.18" stroke-dasharray="6 1.2 1 1.2"',
    "limit": 'stroke="#333" stroke-width="0.25" stroke-dasharray="5 1 1 1 1 1"',
}
_TEXT, _ARROW, _LETTER = 3.0, 2.4, 0.62  # height of dimension figures, length of an arrow [mm]; width over height
_HATCH = 3.0  # between two lines of a hatching, along an edge [mm]


class SvgSheet:
    """Paper of width x height [mm]; everything on it in mm from its upper left corner, y downwards."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self._marks = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
            f'viewBox="0 0 {width:g} {height:g}">',
            f"<title>{escape(title)}</title>",
            f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>',
        ]

    def text(self) -> str:
        """The whole file."""
        return "\n".join([*self._marks, "</svg>", ""])

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: Line = "outline") -> None:
        self._marks.append(f'<path d="M{x1:.3f} {y1:.3f}L{x2:.3f} {y2:.3f}" fill="none" {_LINES[kind]}/>')

    def outline(
        self, points: Sequence[tuple[float, float]], kind: Line = "outline", fill: str = "none", opacity: float = 1.0
    ) -> None:
        """A closed polygon; fill: a colour or `none`."""
        path = "L".join(f"{x:.3f} {y:.3f}" for x, y in points)
        self._marks.append(f'<path d="M{path}Z" fill="{fill}" fill-opacity="{opacity:g}" {_LINES[kind]}/>')

    def box(self, x: float, y: float, width: float, height: float, kind: Line = "outline", fill: str = "none") -> None:
        """A rectangle by its upper left corner."""
        self.outline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], kind, fill)

    def cut(self, x: float, y: float, width: float, height: float) -> None:
        """A rectangle by its upper left corner, hatched as what is cut through.

        Line by line: the viewers that were tried draw SVG's own patterns in different ways, one of them as a blur.
        """
        self.box(x, y, width, height)
        for step in range(1, math.ceil((width + height) / _HATCH)):
            along = step * _HATCH
            x1, y1 = (x + along, y) if along <= width else (x + width, y + along - width)
            x2, y2 = (x, y + along) if along <= height else (x + along - height, y + height)
            self.line(x1, y1, x2, y2, "thin")

    def circle(self, x: float, y: float, diameter: float) -> None:
        self._marks.append(
            f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{diameter / 2:.3f}" fill="none" {_LINES["outline"]}/>'
        )

    def cross(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Two centre lines."""
        self.line(x - half_width, y, x + half_width, y, "centre")
        self.line(x, y - half_height, x, y + half_height, "centre")

    def words(
        self, x: float, y: float, text: str, *, size: float = _TEXT, anchor: Anchor = "start", upright: bool = False,
        bold: bool = False,
    ) -> None:  # fmt: skip
        """Text on a base line; upright: turned so that it reads from the right of the sheet."""
        turned = f' transform="rotate(-90 {x:.3f} {y:.3f})"' if upright else ""
        weight = ' font-weight="bold"' if bold else ""
        self._marks.append(
            f'<text x="{x:.3f}" y="{y:.3f}" font-family="DejaVu Sans, Arial, sans-serif" font-size="{size:g}" '
            f'text-anchor="{anchor}"{weight}{turned}>{escape(text)}</text>'
        )

    def across(self, x1: float, x2: float, at: float, from_y: float, figure: str) -> None:
        """A dimension from x1 to x2 (x1 < x2), its line at the height `at`, drawn out from `from_y`."""
        beyond = 1.2 if at > from_y else -1.2
        for x in (x1, x2):
            self.line(x, from_y + beyond / 2, x, at + beyond, "thin")
        if x2 - x1 >= _room(figure):
            self.line(x1, at, x2, at, "thin")
            self._arrow([(x1, at), (x1 + _ARROW, at - 0.4), (x1 + _ARROW, at + 0.4)])
            self._arrow([(x2, at), (x2 - _ARROW, at - 0.4), (x2 - _ARROW, at + 0.4)])
            self.words((x1 + x2) / 2, at - 0.8, figure, anchor="middle")
            return
        # Too narrow for its figure: arrows from outside, the figure behind the second.
        end = x2 + 2 * _ARROW + len(figure) * _TEXT * _LETTER
        self.line(x1 - 2 * _ARROW, at, end, at, "thin")
        self._arrow([(x1, at), (x1 - _ARROW, at - 0.4), (x1 - _ARROW, at + 0.4)])
        self._arrow([(x2, at), (x2 + _ARROW, at - 0.4), (x2 + _ARROW, at + 0.4)])
        self.words(end, at - 0.8, figure, anchor="end")

    def along(self, y1: float, y2: float, at: float, from_x: float, figure: str) -> None:
        """A dimension from y1 to y2 (y1 < y2), its line at `at`, drawn out from `from_x`."""
        beyond = 1.2 if at > from_x else -1.2
        for y in (y1, y2):
            self.line(from_x + beyond / 2, y, at + beyond, y, "thin")
        if y2 - y1 >= _room(figure):
            self.line(at, y1, at, y2, "thin")
            self._arrow([(at, y1), (at - 0.4, y1 + _ARROW), (at + 0.4, y1 + _ARROW)])
            self._arrow([(at, y2), (at - 0.4, y2 - _ARROW), (at + 0.4, y2 - _ARROW)])
            self.words(at - 0.8, (y1 + y2) / 2, figure, anchor="middle", upright=True)
            return
        # Below, since above an outline stands its name.
        end = y2 + 2 * _ARROW + len(figure) * _TEXT * _LETTER
        self.line(at, y1 - 2 * _ARROW, at, end, "thin")
        self._arrow([(at, y1), (at - 0.4, y1 - _ARROW), (at + 0.4, y1 - _ARROW)])
        self._arrow([(at, y2), (at - 0.4, y2 + _ARROW), (at + 0.4, y2 + _ARROW)])
        self.words(at - 0.8, end, figure, upright=True)

    def leader(self, x: float, y: float, to_x: float, to_y: float, figure: str) -> None:
        """A figure with a line that points at (x, y); it stands on a short shelf at (to_x, to_y)."""
        shelf = len(figure) * _TEXT * _LETTER
        self.line(x, y, to_x, to_y, "thin")
        self.line(to_x, to_y, to_x + shelf, to_y, "thin")
        self.words(to_x + 0.3, to_y - 0.8, figure)

    def _arrow(self, points: Sequence[tuple[float, float]]) -> None:
        path = "L".join(f"{x:.3f} {y:.3f}" for x, y in points)
        self._marks.append(f'<path d="M{path}Z" fill="#333"/>')


def _room(figure: str) -> float:
    """What a figure needs between its arrows [mm]."""
    return len(figure) * _TEXT * _LETTER + 2 * _ARROW
