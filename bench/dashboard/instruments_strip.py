"""The strip that is always there: how the two instruments are, and what to do when one is not."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.instruments import Health, InstrumentState
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.look import Ink, ink_of_health, shape_of_health
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["InstrumentsStrip"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class InstrumentsStrip(QWidget):
    """Counter on the left, meter on the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        self.counter, self.meter = InstrumentCard(), InstrumentCard()
        line.addWidget(self.counter, 1)
        line.addWidget(self.meter, 1)

    def show_state(self, state: Snapshot, now: float) -> None:
        self.counter.show_instrument(state.counter, now)
        self.meter.show_instrument(state.meter, now)


class InstrumentCard(CardFrame):
    """Sign and name, then port and identity or what to do, then the last value and its age."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, margin=7, spacing=12)
        self.sign = SignWidget()
        self.health = FitLabel(24, bold=QFont.Weight.Bold)
        self.where = FitLabel(15, ink=Ink.QUIET)
        self.last = FitLabel(28, bold=QFont.Weight.DemiBold, align=_RIGHT)
        self.age = FitLabel(17, ink=Ink.QUIET, align=_RIGHT)
        line.addWidget(self.sign, 8)
        words = QVBoxLayout()
        bare(words, spacing=2)
        words.addWidget(self.health, 45)
        words.addWidget(self.where, 55)
        line.addLayout(words, 64)
        value = QVBoxLayout()
        bare(value, spacing=2)
        value.addWidget(self.last, 55)
        value.addWidget(self.age, 45)
        line.addLayout(value, 28)

    def show_instrument(self, state: InstrumentState, now: float) -> None:
        health, advice = state.health(now), state.what_to_do(now)
        ink = ink_of_health(health)
        self.sign.show_sign(shape_of_health(health), ink)
        self.health.say(f"{state.name}: {health}")
        self.health.say_in(ink)
        self.where.say(advice or "\n".join(part for part in (state.identity, state.address) if part))
        self.where.say_in(Ink.TEXT if advice else Ink.QUIET)
        self.last.say(state.last, like="888.888 MΩ")
        age = state.age(now)
        self.age.say("" if age is None else _age_text(age), like="88 min ago")
        self.lay_on(Ink.BAD_PALE if health is Health.LOST else Ink.CARD)


def _age_text(age: float) -> str:
    """Whole seconds, so that the figures stand still; while lines come it is simply now."""
    if age < 1.0:
        return "now"
    return f"{age:.0f} s ago" if age < 100 else f"{age / 60:.0f} min ago"
