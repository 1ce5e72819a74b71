"""A sheet of paper to draw on in millimetres, kept as SVG, which knows where its own words stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

__all__ = ["Canvas", "Label"]

_WIDE = 0.62
"""Mean width of a letter over the size of the type: a wide sans such as DejaVu Sans, measured on such labels."""

_FONT = '"DejaVu Sans", Verdana, sans-serif'


@dataclass(frozen=True)
class Label:
    """Words on the paper; x, y, size [mm] of paper;  anchor: start, middle or end;  upright: read from below up."""

    text: str
    x: float
    y: float
    size: float
    anchor: str = "start"
    upright: bool = False

    @property
    def width(self) -> float:
        """As wide as it may come out [mm]."""
        return len(self.text) * self.size * _WIDE

    @property
    def box(self) -> tuple[float, float, float, float]:
        """left, top, right, bottom [mm]."""
        before = {"start": 0.0, "middle": self.width / 2, "end": self.width}[self.anchor]
        ascent, descent = 0.76 * self.size, 0.2 * self.size
        if self.upright:
            return self.x - ascent, self.y - (self.width - before), self.x + descent, self.y + before
        return self.x - before, self.y - ascent, self.x - before + self.width, self.y + descent


@dataclass
class Canvas:
    """Drawn on from behind to before; coordinates are millimetres of paper, y downwards."""

    _marks: list[str] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def rect(self, x: float, y: float, width: float, height: float, look: str) -> None:
        """look: the class names that the style sheet of the drawing knows."""
        self._marks.append(
            f'<rect x="{x:.3f}" y="{y:.3f}" width="{max(0.0, width):.3f}" height="{max(0.0, height):.3f}" '
            f"class={quoteattr(look)}/>"
        )

    def line(self, points: Sequence[tuple[float, float]], look: str) -> None:
        """Through all points."""
        path = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        self._marks.append(f"<polyline points={quoteattr(path)} class={quoteattr(look)}/>")

    def circles(self, centres: Sequence[tuple[float, float]], radius: float, look: str) -> None:
        """All of one size and look."""
        inner = "".join(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.3f}"/>' for x, y in centres)
        self._marks.append(f"<g class={quoteattr(look)}>{inner}</g>")

    def write(self, label: Label, look: str = "word") -> None:
        """Words, whatever a person typed, made inert."""
        turned = f' transform="rotate(-90 {label.x:.2f} {label.y:.2f})"' if label.upright else ""
        text = escape("".join(c if c.isprintable() else " " for c in label.text))
        self._marks.append(
            f'<text x="{label.x:.2f}" y="{label.y:.2f}" font-size="{label.size:g}" text-anchor="{label.anchor}" '
            f"class={quoteattr(look)}{turned}>{text}</text>"
        )
        self.labels.append(label)

    def across(self, x0: float, x1: float, y: float, text: str, size: float, *, beside: bool = False) -> None:
        """A dimension from x0 to x1 on the line y; its figure over the line, or to the right of it."""
        self._arrowed([(x0, y), (x1, y)], [((x, y - 1.2), (x, y + 1.2)) for x in (x0, x1)])
        self.write(
            Label(text, x1 + 1.5, y + 0.35 * size, size)
            if beside
            else Label(text, (x0 + x1) / 2, y - 0.9, size, "middle")
        )

    def along(self, y0: float, y1: float, x: float, text: str, size: float) -> None:
        """A dimension from y0 to y1 on the upright line x, its figure to the left of it."""
        self._arrowed([(x, y0), (x, y1)], [((x - 1.2, y), (x + 1.2, y)) for y in (y0, y1)])
        self.write(Label(text, x - 0.9, (y0 + y1) / 2, size, "middle", upright=True))

    def _arrowed(self, line: list[tuple[float, float]], ends: list[tuple[tuple[float, float], ...]]) -> None:
        self.line(line, "measure")
        for end in ends:
            self.line(end, "measure")

    def svg(self, width: float, height: float, style: str, patterns: str, title: str) -> str:
        """The drawing, at full size where it is printed at 100 %."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="section" width="{width:.1f}mm" height="{height:.1f}mm" '
            f"viewBox=\"0 0 {width:.1f} {height:.1f}\" font-family='{_FONT}'>\n"
            f"<title>{escape(title)}</title>\n<style>{style}</style>\n<defs>{patterns}</defs>\n"
            + "\n".join(self._marks)
            + "\n</svg>\n"
        )
