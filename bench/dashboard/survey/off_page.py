"""A winding of the unit as found that comes off: the count as large as it can be, and how far it may go."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard import news as told
from bench.dashboard.instruments import Health
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.survey.sentences import turns_text

__all__ = ["OffPage"]

_CENTRE = Qt.AlignmentFlag.AlignCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class OffPage(CardFrame):
    """The winding, what is off, what is to come."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=16, spacing=4)
        self.winding = FitLabel(40, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.by = FitLabel(24, ink=Ink.QUIET, align=_RIGHT)
        self.count = FitLabel(320, bold=QFont.Weight.Bold, align=_CENTRE)
        self.sign = SignWidget()
        self.standing = FitLabel(44, bold=QFont.Weight.Bold)
        self.interval = FitLabel(34, ink=Ink.DOUBT, align=_RIGHT)
        self.foretold = FitLabel(44)
        self.to_go = FitLabel(60, bold=QFont.Weight.Bold, align=_RIGHT)
        for widgets, share in (
            (((self.winding, 60), (self.by, 40)), 12),
            (((self.count, 1),), 52),
            (((self.sign, 7), (self.standing, 53), (self.interval, 40)), 14),
            (((self.foretold, 56), (self.to_go, 44)), 18),
        ):
            line = QHBoxLayout()
            bare(line, spacing=14)
            for widget, wide in widgets:
                line.addWidget(widget, wide)
            column.addLayout(line, share)

    def show_off(self, off: told.CameOff, health: Health) -> None:
        """health: of the counter, where one counts."""
        state, expected = off.state, off.expected
        figures = "8" * max(3, len(f"{max(state.off, 0 if expected is None else expected.high):.0f}"))
        self.winding.say(f"{state.winding} comes off")
        turning = "" if off.speed is None else f", {abs(off.speed) * 60:.0f} rpm"
        self.by.say(f"counted by {off.counter}{turning}" if off.counter else "typed, go by go or by layers")
        self.count.say(f"{state.off:.1f}", like=f"{figures}.8")
        self.count.setAccessibleName(f"{state.off:.1f} turns off")
        lost = bool(off.counter) and health in (Health.LOST, Health.SILENT)
        past = expected is not None and state.off > expected.high
        words, shape, ink, ground = "turns off", Shape.DOT, Ink.TEXT, Ink.CARD
        if lost:
            words, shape, ink, ground = "no line from the counter", Shape.CROSS, Ink.BAD, Ink.BAD_PALE
        elif not state.bounded:
            words, shape, ink, ground = "the count is lost", Shape.CROSS, Ink.BAD, Ink.BAD_PALE
        elif past:
            words, shape, ink, ground = "more than foretold", Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE
        elif expected is not None and state.off >= expected.low:
            words, shape, ink, ground = "about as many as foretold", Shape.TICK, Ink.GOOD, Ink.GOOD_PALE
        self.lay_on(ground)
        self.count.say_in(Ink.QUIET if lost else Ink.TEXT)
        self.sign.show_sign(shape, ink)
        self.standing.say(words)
        self.standing.say_in(ink)
        between = "" if state.certain or not state.bounded else f"between {state.low:.1f} and {state.high:.1f}"
        self.interval.say(between)
        self.foretold.say("nothing foretells its turns" if expected is None else f"foretold {turns_text(expected)}")
        if expected is None:
            self.to_go.say("")
        elif state.off < expected.low:
            self.to_go.say(f"about {expected.value - state.off:.0f} to go")
        else:
            self.to_go.say(f"{state.off - expected.value:.1f} past it" if past else "its end is near")
