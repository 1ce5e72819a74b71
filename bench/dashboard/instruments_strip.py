"""The strip that is always there: how each instrument is, and what to do when one is not."""

from __future__ import annotations

import math
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.instruments import Health, InstrumentState, age_text
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.elided_label import ElidedLabel
from bench.dashboard.parts.fit_label import FitLabel, tip_of
from bench.dashboard.parts.look import Ink, ink_of_health, shape_of_health
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["InstrumentsStrip"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_VALUE_EVERY_S = 0.2
"""Time from one value to the next that is shown here: faster nobody reads them, and the count stands large above."""
_GROUNDS = {Health.LOST: Ink.BAD_PALE, Health.SILENT: Ink.DOUBT_PALE}


class InstrumentsStrip(QWidget):
    """Counter on the left, then the meters, one or one for each role."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._line = QHBoxLayout(self)
        bare(self._line, spacing=10)
        self.counter = InstrumentCard()
        self.meters: list[InstrumentCard] = []
        self._line.addWidget(self.counter, 1)
        self._make(1)

    @property
    def meter(self) -> InstrumentCard:
        """The first."""
        return self.meters[0]

    def show_state(self, state: Snapshot, now: float) -> None:
        self._make(len(state.meters))
        self.counter.show_instrument(state.counter, now)
        for place, card in enumerate(self.meters):
            card.setVisible(place < len(state.meters))
            if place < len(state.meters):
                card.show_instrument(state.meters[place], now)

    def _make(self, meters: int) -> None:
        """A card once made stays: it may be wanted again."""
        while len(self.meters) < meters:
            card = InstrumentCard()
            self.meters.append(card)
            self._line.addWidget(card, 1)


class InstrumentCard(CardFrame):
    """Sign and health, the last value and its age; below port and identity, or port and what to do."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = QHBoxLayout(self)
        bare(line, margin=5, spacing=8)
        self._shown: tuple[object, ...] = ()
        self._last, self._at = "", -math.inf
        self.sign = SignWidget()
        self.health = FitLabel(23, bold=QFont.Weight.Bold)
        self.last = FitLabel(26, bold=QFont.Weight.DemiBold, align=_RIGHT)
        self.age = FitLabel(16, ink=Ink.QUIET, align=_RIGHT)
        self.where = ElidedLabel(15, 13, ink=Ink.QUIET)
        self.what = FitLabel(16)
        line.addWidget(self.sign, 9)
        rest = QVBoxLayout()
        bare(rest)
        first, second = QHBoxLayout(), QHBoxLayout()
        bare(first, spacing=8)
        bare(second, spacing=8)
        first.addWidget(self.health, 62)
        first.addWidget(self.last, 38)
        second.addWidget(self.where, 75)
        second.addWidget(self.age, 25)
        rest.addLayout(first, 34)
        rest.addLayout(second, 24)
        rest.addWidget(self.what, 42)
        line.addLayout(rest, 91)

    def show_instrument(self, state: InstrumentState, now: float) -> None:
        health, advice, age = state.health(now), state.what_to_do(now), state.age(now)
        ago = "" if age is None else "now" if age < 1.0 else f"{age_text(age)} ago"
        shown = (replace(state, last="", heard_at=None), health, ago, state.words(now))
        if shown == self._shown and (state.last == self._last or 0.0 <= now - self._at < _VALUE_EVERY_S):
            return
        self._shown, self._last, self._at = shown, state.last, now
        ink = ink_of_health(health)
        self.setAccessibleName(state.name)
        self.sign.show_sign(shape_of_health(health), ink)
        self.health.say(state.words(now))
        self.health.say_in(ink)
        self.where.say(state.address or "no port chosen")
        self.what.say(advice or state.identity)
        self.what.say_in(Ink.TEXT if advice else Ink.QUIET)
        self.what.setToolTip(tip_of(state.trouble or state.identity))
        self.last.say(state.last, like="888.888 MΩ")
        self.age.say(ago, like="88 min ago")
        self.lay_on(_GROUNDS.get(health, Ink.CARD))
