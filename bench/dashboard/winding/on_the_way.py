"""What happened to the count on the way; while it is unsure, how to find out where the coil stands."""

from __future__ import annotations

from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape, shape_of_weight
from bench.dashboard.parts.signs import SignWidget
from bench.design.plan import PlannedWinding
from bench.winding.finding_out import ways_to_find_out
from bench.winding.happenings import Happening
from bench.winding.progress import Progress

__all__ = ["OnTheWay"]

_LINES, _HAPPENED = 3, 2


class OnTheWay(CardFrame):
    """The newest first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=8, spacing=3)
        self.title = FitLabel(18, ink=Ink.QUIET)
        column.addWidget(self.title, 22)
        self._shown: tuple[object, ...] = ()
        self._rows: list[QWidget] = []
        self.lines: list[tuple[SignWidget, FitLabel]] = []
        for _ in range(_LINES):
            row = QWidget()
            line = QHBoxLayout(row)
            bare(line, spacing=8)
            sign, words = SignWidget(), FitLabel(17)
            line.addWidget(sign, 5)
            line.addWidget(words, 95)
            column.addWidget(row, 26)
            self._rows.append(row)
            self.lines.append((sign, words))
        self.setAccessibleName("on the way")

    def show_way(
        self, happenings: tuple[Happening, ...], progress: Progress | None, planned: PlannedWinding | None
    ) -> None:
        unsure = progress is not None and not progress.certain
        shown = (happenings, progress if unsure else None, planned)
        if shown == self._shown:
            return
        self._shown = shown
        if unsure and progress is not None:
            ways = ways_to_find_out(progress, planned)
            self.title.say("how to find out where it stands, then S")
            self._show([(Shape.QUERY, Ink.DOUBT, way) for way in _most_of(ways)])
        else:
            self.title.say("on the way")
            told = [(*shape_of_weight(one.weight), one.words) for one in happenings[:_HAPPENED]]
            self._show(told or [(Shape.NONE, Ink.QUIET, "Nothing but turns so far.")])
        self.title.say_in(Ink.TEXT if unsure else Ink.QUIET)
        font = self.title.font()
        font.setWeight(QFont.Weight.Bold if unsure else QFont.Weight.Normal)
        self.title.setFont(font)
        self.lay_on(Ink.DOUBT_PALE if unsure else Ink.CARD)

    def _show(self, told: list[tuple[Shape, Ink, str]]) -> None:
        for place, (sign, words) in enumerate(self.lines):
            shape, ink, text = told[place] if place < len(told) else (Shape.NONE, Ink.QUIET, "")
            sign.show_sign(shape, ink)
            words.say(text)
            # fewer lines are larger ones
            self._rows[place].setVisible(place < max(_HAPPENED, len(told)))


def _most_of(ways: tuple[str, ...]) -> tuple[str, ...]:
    """All of them in as many lines as there are: the last two share one."""
    if len(ways) <= _LINES:
        return ways
    return (*ways[: _LINES - 1], "; ".join(ways[_LINES - 1 :]))
