"""The core's window as designed, small enough for a certificate: leg below, each winding a band with its name."""

from __future__ import annotations

from bench.design.canvas import Canvas, Label
from bench.design.plan import PlannedScreen, PlannedWinding, WindingPlan
from bench.design.section_look import PATTERNS, STYLE, band_look
from bench.quantities import show

__all__ = ["window_drawn"]

_WIDE, _HIGH = 86.0, 56.0
"""Of the paper [mm], at most."""
_TYPE = 2.6
_LETTER = 0.54
"""Mean width of a letter over the height of the type, in the widest type that a page may be shown in."""
_LONGEST = 30
"""Letters of a label."""
_LEG = 4.0
_FOIL = 0.5
"""Least height of a screen's line on paper [mm]: at its own thickness it would not print."""
_APART = 3.1


def window_drawn(plan: WindingPlan) -> str:
    """SVG, 86 mm wide, to scale in both directions alike."""
    return _Drawing(plan).svg()


class _Drawing:
    """Places on paper [mm] for places in the window [m]: along the leg to the right, away from it upwards."""

    def __init__(self, plan: WindingPlan) -> None:
        self.plan = plan
        self.canvas = Canvas()
        along = plan.between_flanges + 2 * plan.former
        away = max(plan.shape.window_width, plan.outer)
        longest = max((len(_label(one)) for one in plan.items), default=0)
        beside = 4.0 + _LETTER * _TYPE * longest
        self.scale = min((_WIDE - beside - 2.0) / along, (_HIGH - _LEG - 7.0) / away)
        self.left = 1.0
        names = _APART * (len(plan.items) + 1)
        self.high = min(_HIGH, max(away * self.scale + 1.0, names) + _LEG + 5.5)
        self.foot = self.high - _LEG - 4.5

    def svg(self) -> str:
        plan = self.plan
        end, high = plan.between_flanges + plan.former, plan.shape.window_width
        self._box(-plan.former, end, -_LEG / self.scale, 0.0, "steel")
        self._box(-plan.former, end, 0.0, high, "air")
        for left, right, top in (
            (-plan.former, end, plan.former),
            (-plan.former, 0.0, high),
            (end - plan.former, end, high),
        ):
            self._box(left, right, 0.0, top, "former")
        places = []
        for number, one in enumerate(plan.items):
            if isinstance(one, PlannedScreen):
                self._box(0.0, plan.between_flanges, one.inner, max(one.outer, one.inner + _FOIL / self.scale), "foil")
                places.append(((one.inner + one.outer) / 2, _label(one)))
            else:
                self._winding(one, number)
                places.append(((one.inner + one.outer) / 2, _label(one)))
        self._name(places)
        across = show(plan.between_flanges, "m", 3)
        words = f"{across} between the flanges; window {show(high, 'm', 3)}, {plan.fill * 100:.0f} % of it taken"
        self.canvas.write(Label(words, self.left, self.high - 0.8, _TYPE), "word")
        style = STYLE
        return self.canvas.svg(_WIDE, self.high, style, PATTERNS, "window section, to scale")

    def _winding(self, one: PlannedWinding, number: int) -> None:
        for layer in one.layers:
            left, right = sorted((layer.start, layer.end))
            self._box(left, right, layer.inner, layer.outer, band_look(number))

    def _box(self, left: float, right: float, inner: float, outer: float, look: str) -> None:
        x = self.left + (left + self.plan.former) * self.scale
        self.canvas.rect(
            x, self.foot - outer * self.scale, (right - left) * self.scale, (outer - inner) * self.scale, look
        )

    def _name(self, places: list[tuple[float, str]]) -> None:
        """To the right, from the leg outwards, as near to their bands as they can stand."""
        edge = self.left + (self.plan.between_flanges + 2 * self.plan.former) * self.scale
        lowest = self.foot + 1.0
        for height, words in places:
            y = min(self.foot - height * self.scale + 0.9, lowest)
            lowest = y - _APART
            self.canvas.line(
                [(edge - self.plan.former * self.scale, self.foot - height * self.scale), (edge + 2.4, y - 0.9)],
                "leader",
            )
            self.canvas.write(Label(words, edge + 3.0, y, _TYPE), "word")


def _label(one: PlannedWinding | PlannedScreen) -> str:
    """Its name, shortened where all of it would leave the window no room, and how many turns in how many layers."""
    if isinstance(one, PlannedScreen):
        return _short(one.screen.name, _LONGEST)
    turns, layers = sum(layer.turns for layer in one.layers), len(one.layers)
    rest = f", {turns} in {layers} layer{'s' if layers > 1 else ''}"
    return _short(one.name, _LONGEST - len(rest)) + rest


def _short(name: str, most: int) -> str:
    return name if len(name) <= most else f"{name[: most - 1]}…"
