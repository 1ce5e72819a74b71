"""The step that is asked now: what to do, which leads, what can hurt, and what the meter says."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.asking import Card
from bench.dashboard.card_frame import CardFrame, bare
from bench.dashboard.fit_label import FitLabel
from bench.dashboard.instruments import reading_text
from bench.dashboard.look import Ink, Shape
from bench.dashboard.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["StepCard"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


class StepCard(CardFrame):
    """From top to foot: step, what to do, clips, reading, live band, cautions."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        bare(column, margin=14, spacing=5)
        head = QHBoxLayout()
        bare(head, spacing=8)
        self.label = FitLabel(24, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.number = FitLabel(18, ink=Ink.QUIET, align=_RIGHT)
        head.addWidget(self.label, 78)
        head.addWidget(self.number, 22)
        self.do = FitLabel(30, bold=QFont.Weight.DemiBold)
        self.clips = FitLabel(22)
        self.value = FitLabel(48, bold=QFont.Weight.Bold, align=_RIGHT)
        column.addLayout(head, 11)
        column.addWidget(self.do, 26)
        column.addWidget(self.clips, 18)
        column.addWidget(self.value, 15)
        self.live = CardFrame()
        live = QHBoxLayout(self.live)
        bare(live, margin=5, spacing=8)
        self.live_sign = SignWidget()
        self.live_words = FitLabel(20, bold=QFont.Weight.Bold, ink=Ink.BAD)
        live.addWidget(self.live_sign, 9)
        live.addWidget(self.live_words, 91)
        column.addWidget(self.live, 12)
        cautions = QHBoxLayout()
        bare(cautions, spacing=10)
        self.caution_sign = SignWidget()
        self.cautions = FitLabel(19)
        cautions.addWidget(self.caution_sign, 9)
        cautions.addWidget(self.cautions, 91)
        column.addLayout(cautions, 24)

    def show_state(self, state: Snapshot) -> None:
        done = len(state.results)
        self.number.say(f"{min(done + 1, len(state.plan))} of {len(state.plan)}" if state.plan else "")
        self.label.say(state.label or "The test begins")
        self.do.say("" if state.card is None else state.card.do)
        self.clips.say("" if state.card is None else _clip_text(state.card))
        self.value.say("" if state.reading is None else reading_text(state.reading))
        self.live.lay_on(Ink.BAD_PALE if state.live else Ink.CARD)
        self.live_sign.show_sign(Shape.BOLT if state.live else Shape.NONE, Ink.BAD)
        self.live_words.say(state.live or "No volts on the unit from this bench.")
        self.live_words.say_in(Ink.BAD if state.live else Ink.QUIET)
        cautions = state.cautions
        self.caution_sign.show_sign(Shape.BANG if cautions else Shape.NONE, Ink.DOUBT)
        self.cautions.say("\n".join(cautions))


def _clip_text(card: Card) -> str:
    lines = []
    if card.clips:
        lines.append(f"from  {card.clips[0]}\nto  {card.clips[1]}")
    lines += [f"join  {one}  and  {other}" for one, other in card.links]
    return "\n".join(lines)
