"""The dashboard's own colours and type, chosen for distance, with a shape to go with every colour."""

from __future__ import annotations

from enum import Enum

from PySide6.QtGui import QColor, QFont, QFontMetrics
from PySide6.QtWidgets import QWidget

from bench.acceptance.decision import Verdict
from bench.dashboard.instruments import Health
from bench.winding.happenings import Weight
from bench.winding.progress import Standing

__all__ = [
    "DESIGNED_FOR",
    "Ink",
    "Shape",
    "font_of",
    "ink_of_health",
    "ink_of_standing",
    "ink_of_verdict",
    "largest_font",
    "scale_of",
    "shape_of_health",
    "shape_of_standing",
    "shape_of_verdict",
    "shape_of_weight",
]

DESIGNED_FOR = (1280, 800)
"""The window [px] in which a size of type means its number of pixels; larger windows scale it."""


class Ink(Enum):
    """Every colour there is. Text colours keep 4.5:1 on PAPER and on CARD (WCAG 2, AA)."""

    PAPER = "#ece7dc"
    CARD = "#fbf9f4"
    TEXT = "#16262e"
    QUIET = "#4d5c63"
    LINE = "#cfc7b8"
    EMPTY = "#e6dfd1"
    COPPER = "#9c4a17"
    COPPER_PALE = "#e3b58f"
    GOOD = "#12614f"
    GOOD_PALE = "#d5e8e0"
    BAD = "#a01f2d"
    BAD_PALE = "#f4d9d6"
    DOUBT = "#7a5200"
    DOUBT_PALE = "#f3e3bd"
    TROUBLE = "#553480"
    TROUBLE_PALE = "#e4dcef"

    @property
    def colour(self) -> QColor:
        return QColor(self.value)


class Shape(Enum):
    """A sign that is told apart without colour."""

    NONE = "none"
    RING = "ring"
    DOT = "dot"
    TICK = "disc with a tick"
    CROSS = "square on its corner with a cross"
    QUERY = "triangle with a question mark"
    BANG = "hexagon with an exclamation mark"
    DASH = "bar"
    BOLT = "triangle with a bolt"


_VERDICTS = {
    Verdict.ACCEPTED: (Shape.TICK, Ink.GOOD, Ink.GOOD_PALE),
    Verdict.REJECTED: (Shape.CROSS, Ink.BAD, Ink.BAD_PALE),
    Verdict.UNDECIDED: (Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE),
    Verdict.INCOMPLETE: (Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE),
    Verdict.TROUBLE: (Shape.BANG, Ink.TROUBLE, Ink.TROUBLE_PALE),
    Verdict.NOT_DONE: (Shape.DASH, Ink.QUIET, Ink.CARD),
}
_HEALTHS = {
    Health.WAITING: (Shape.RING, Ink.QUIET),
    Health.WELL: (Shape.TICK, Ink.GOOD),
    Health.SILENT: (Shape.QUERY, Ink.DOUBT),
    Health.LOST: (Shape.CROSS, Ink.BAD),
    Health.RESTING: (Shape.DASH, Ink.QUIET),
}
_STANDINGS = {
    Standing.WINDING: (Shape.DOT, Ink.TEXT, Ink.CARD),
    Standing.NEARLY: (Shape.BANG, Ink.COPPER, Ink.DOUBT_PALE),
    Standing.AT_TARGET: (Shape.TICK, Ink.GOOD, Ink.GOOD_PALE),
    Standing.PAST: (Shape.CROSS, Ink.BAD, Ink.BAD_PALE),
    Standing.UNSURE: (Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE),
    Standing.HELD: (Shape.DASH, Ink.TROUBLE, Ink.TROUBLE_PALE),
}
_WEIGHTS = {Weight.WELL: (Shape.TICK, Ink.GOOD), Weight.NOTE: (Shape.DOT, Ink.QUIET), Weight.ACT: (Shape.BANG, Ink.BAD)}


def shape_of_verdict(verdict: Verdict | None) -> Shape:
    """The sign of a verdict; a ring while there is none."""
    return Shape.RING if verdict is None else _VERDICTS[verdict][0]


def ink_of_verdict(verdict: Verdict | None) -> tuple[Ink, Ink]:
    """(colour, pale ground) of a verdict."""
    return (Ink.QUIET, Ink.CARD) if verdict is None else _VERDICTS[verdict][1:]


def shape_of_health(health: Health) -> Shape:
    return _HEALTHS[health][0]


def ink_of_health(health: Health) -> Ink:
    return _HEALTHS[health][1]


def shape_of_standing(standing: Standing) -> Shape:
    return _STANDINGS[standing][0]


def ink_of_standing(standing: Standing) -> tuple[Ink, Ink]:
    """(colour, ground) of where the count stands."""
    return _STANDINGS[standing][1:]


def shape_of_weight(weight: Weight) -> tuple[Shape, Ink]:
    return _WEIGHTS[weight]


def scale_of(widget: QWidget) -> float:
    """How much larger the widget's window is than the one designed for."""
    window = widget.window()
    wide, high = DESIGNED_FOR
    return max(0.6, min(window.width() / wide, window.height() / high))


def font_of(pixels: int, bold: int = QFont.Weight.Normal) -> QFont:
    """The application's font in a size [px] and weight."""
    font = QFont()
    font.setPixelSize(max(1, pixels))
    font.setWeight(QFont.Weight(bold))
    return font


def largest_font(text: str, wide: int, high: int, most: int, least: int, bold: int = QFont.Weight.Normal) -> QFont:
    """The largest font from `least` to `most` [px] in which one line of text fits; `least` where none does."""
    size = most
    while size > least:
        metrics = QFontMetrics(font_of(size, bold))
        if metrics.horizontalAdvance(text) <= wide and metrics.height() <= high:
            break
        size -= 1
    return font_of(size, bold)
