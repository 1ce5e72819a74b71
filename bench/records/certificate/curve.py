"""The exciting current against volts, drawn: what was measured with its doubt, the design, and its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bench.design.canvas import Canvas, Label
from bench.quantities import show

__all__ = ["CurvePoint", "curve_drawn", "curve_points"]

_WIDE, _HIGH = 86.0, 56.0
_LEFT, _RIGHT, _TOP, _FOOT = 15.0, 4.0, 7.0, 10.0
_TYPE = 2.6
_LOOKS = {
    "axis": "fill:none;stroke:#4d5c63;stroke-width:.25",
    "grid": "fill:none;stroke:#d8d2c6;stroke-width:.15",
    "design": "fill:none;stroke:#4d5c63;stroke-width:.35;stroke-dasharray:1.6 1",
    "limit": "fill:none;stroke:#9b193e;stroke-width:.35",
    "doubt": "fill:none;stroke:#652a03;stroke-width:.3",
    "dot": "fill:#652a03",
    "word": "fill:#16262e",
    "quiet": "fill:#4d5c63",
}
# Each rule bound to the drawing: inside a page its class names would reach the page's own parts.
_STYLE = "".join(f".section .{name}{{{rule}}}" for name, rule in _LOOKS.items())


@dataclass(frozen=True)
class CurvePoint:
    """volts;  amps measured, with its expanded uncertainty U;  designed [A];  limit [A], None where there is none."""

    volts: float
    amps: float
    U: float
    designed: float | None
    limit: float | None


def curve_points(steps: Sequence[dict[str, Any]]) -> tuple[CurvePoint, ...]:
    """Of the steps that fed the winding higher and higher, by their volts."""
    found = [
        CurvePoint(step["at_volts"], step["measured"], step["uncertainty"], step["expected"], step["upper"])
        for step in steps
        if str(step["id"]).startswith("exciting:") and step["measured"] is not None and step.get("at_volts")
    ]
    return tuple(sorted(found, key=lambda point: point.volts))


def curve_drawn(points: Sequence[CurvePoint]) -> str:
    """SVG, 86 mm wide; empty for fewer than two points, which are no curve."""
    if len(points) < 2:
        return ""
    return _Drawing(points).svg()


class _Drawing:
    """Places on paper [mm]."""

    def __init__(self, points: Sequence[CurvePoint]) -> None:
        self.points = points
        self.canvas = Canvas()
        self.volts = _rounded_up(max(one.volts for one in points))
        highest = max(max(one.amps + one.U, one.limit or 0.0, one.designed or 0.0) for one in points)
        self.amps = _rounded_up(highest)

    def x(self, volts: float) -> float:
        return _LEFT + (_WIDE - _LEFT - _RIGHT) * volts / self.volts

    def y(self, amps: float) -> float:
        return _HIGH - _FOOT - (_HIGH - _TOP - _FOOT) * amps / self.amps

    def svg(self) -> str:
        self._axes()
        for look, value in (("design", "designed"), ("limit", "limit")):
            line = [(self.x(one.volts), self.y(getattr(one, value))) for one in self.points if getattr(one, value)]
            if len(line) > 1:
                self.canvas.line(line, look)
        for one in self.points:
            x = self.x(one.volts)
            self.canvas.line([(x, self.y(max(0.0, one.amps - one.U))), (x, self.y(one.amps + one.U))], "doubt")
        self.canvas.circles([(self.x(one.volts), self.y(one.amps)) for one in self.points], 0.8, "dot")
        self._legend()
        return self.canvas.svg(_WIDE, _HIGH, _STYLE, "", "exciting current against volts")

    def _axes(self) -> None:
        for step in range(5):
            volts, amps = self.volts * step / 4, self.amps * step / 4
            self.canvas.line([(self.x(volts), self.y(0)), (self.x(volts), self.y(self.amps))], "grid")
            self.canvas.line([(self.x(0), self.y(amps)), (self.x(self.volts), self.y(amps))], "grid")
            self.canvas.write(Label(f"{volts:g}", self.x(volts), _HIGH - _FOOT + 3.4, _TYPE, "middle"), "quiet")
            words = "0" if step == 0 else show(amps, "A", 3)
            self.canvas.write(Label(words, _LEFT - 1.2, self.y(amps) + 0.9, _TYPE, "end"), "quiet")
        self.canvas.line(
            [(self.x(0), self.y(self.amps)), (self.x(0), self.y(0)), (self.x(self.volts), self.y(0))], "axis"
        )
        self.canvas.write(
            Label(
                "volts on the winding that was fed", (self.x(0) + self.x(self.volts)) / 2, _HIGH - 1.6, _TYPE, "middle"
            )
        )

    def _legend(self) -> None:
        left = _LEFT
        for look, words, wide in (
            ("dot", "measured, with U", 31.0),
            ("design", "designed", 21.0),
            ("limit", "limit", 14.0),
        ):
            if look == "dot":
                self.canvas.circles([(left + 2, 3.0)], 0.8, look)
            else:
                self.canvas.line([(left, 3.0), (left + 4, 3.0)], look)
            self.canvas.write(Label(words, left + 5, 3.9, _TYPE))
            left += wide


def _rounded_up(value: float) -> float:
    """The next of 1, 1.2, 1.6, 2, 2.4, 3.2, 4, 6, 8 times a power of ten: a quarter of it is a round number.

    1 where there is nothing to show: no power of ten is next to zero."""
    if value <= 0.0:
        return 1.0
    scale = 1.0
    while scale < value:
        scale *= 10.0
    while scale / 10.0 >= value:
        scale /= 10.0
    steps = (0.1, 0.12, 0.16, 0.2, 0.24, 0.32, 0.4, 0.6, 0.8, 1.0)
    return scale * next(step for step in steps if step * scale >= value * 0.999)
