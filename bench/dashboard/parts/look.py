"""The dashboard's own colours and type, chosen for distance, with a shape to go with every colour."""

from __future__ import annotations

from enum import Enum
from functools import lru_cache

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QFont, QFontMetrics
from PySide6.QtWidgets import QWidget

from bench.acceptance.decision import Verdict
from bench.dashboard.instruments import Health
from bench.dashboard.parts.theme import Theme, worn
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
    "size_of_wrapped",
]

DESIGNED_FOR = (1280, 800)
"""The window [px] in which a size of type means its number of pixels; larger windows scale it."""


_UNBOUND = 100_000
"""Height [px] in which any text has room."""


class Ink(Enum):
    """Every colour there is, in light and in dark.

    In both themes all that text is written in (TEXT, QUIET, COPPER, GOOD, BAD, DOUBT, TROUBLE) keeps 4.5:1 on all that
    it may stand on (PAPER, CARD, EMPTY and the pale ones of a state), so that any ink may stand on any ground (WCAG 2,
    AA); on COPPER_PALE only TEXT does.  Inks of a state, and their grounds, stay apart for eyes that lack one kind of
    cone.  Both are tested: a new colour goes through tests/dashboard/test_look.py.
    """

    PAPER = "#ece7dc", "#15191b"
    CARD = "#fbf9f4", "#1f2527"
    TEXT = "#16262e", "#eef0ea"
    QUIET = "#4d5c63", "#adb8ba"
    LINE = "#cfc7b8", "#48535a"
    EMPTY = "#e6dfd1", "#2b3234"
    COPPER = "#652a03", "#e3803c"
    COPPER_PALE = "#e3b58f", "#5f3d22"
    GOOD = "#12614f", "#7ce4cc"
    GOOD_PALE = "#cfe8e8", "#19362c"
    BAD = "#9b193e", "#f8a59a"
    BAD_PALE = "#f3cfc8", "#3e1b1c"
    DOUBT = "#7b5301", "#ecd873"
    DOUBT_PALE = "#f3e3bd", "#37310f"
    TROUBLE = "#553480", "#b7a3f0"
    TROUBLE_PALE = "#e2daf2", "#322848"

    @property
    def colour(self) -> QColor:
        """In the theme that is worn."""
        return QColor(_colour(self, worn()))

    def in_theme(self, theme: Theme) -> str:
        """As `#rrggbb`."""
        light, dark = self.value
        return dark if theme is Theme.DARK else light


@lru_cache(maxsize=2 * len(Ink))
def _colour(ink: Ink, theme: Theme) -> QColor:
    """Read from its text once: a frame asks for a thousand."""
    return QColor(ink.in_theme(theme))


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
    return font_of(_largest_size(text, wide, high, most, least, int(bold)), bold)


@lru_cache(maxsize=4096)
def _largest_size(text: str, wide: int, high: int, most: int, least: int, bold: int) -> int:
    """Kept: the same words are drawn in the same place with each frame."""
    size = most
    while size > least:
        metrics = QFontMetrics(font_of(size, bold))
        if metrics.horizontalAdvance(text) <= wide and metrics.height() <= high:
            break
        size -= 1
    return size


@lru_cache(maxsize=8192)
def size_of_wrapped(text: str, wide: int, flags: int, pixels: int, bold: int) -> tuple[int, int]:
    """(width, height) [px] of text that is wrapped at a width, in type of that size; kept, since words come again."""
    metrics = QFontMetrics(font_of(pixels, bold))
    needed = metrics.boundingRect(QRect(0, 0, wide, _UNBOUND), flags, text)
    return needed.width(), needed.height()
