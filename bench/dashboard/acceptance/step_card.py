"""The step that is asked now: what to do, which leads, what can hurt, and what the meter says."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.acceptance.asking import Card
from bench.dashboard.acceptance.value_entry import ValueEntry
from bench.dashboard.instruments import reading_text
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel, height_of
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["StepCard"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


# Sizes of type, and heights of rows, as asked for [px].
_DO, _CLIPS, _CAUTIONS = 30, 22, 19
_HEAD, _LEAST_DO, _VALUE_ROW, _LIVE_ROW, _LEAST_CAUTIONS = 36, 80, 54, 40, 90


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
        self.do = FitLabel(_DO, bold=QFont.Weight.DemiBold)
        self.clips = FitLabel(_CLIPS)
        self.value = FitLabel(48, bold=QFont.Weight.Bold, align=_RIGHT)
        self.entry = ValueEntry()
        self.entry.hide()
        column.addLayout(head)
        column.addWidget(self.do)
        column.addWidget(self.clips)
        value = QVBoxLayout()
        bare(value)
        value.addWidget(self.entry)
        value.addWidget(self.value)
        column.addLayout(value)
        self.live = CardFrame()
        live = QHBoxLayout(self.live)
        bare(live, margin=5, spacing=8)
        self.live_sign = SignWidget()
        self.live_words = FitLabel(20, bold=QFont.Weight.Bold, ink=Ink.BAD)
        live.addWidget(self.live_sign, 9)
        live.addWidget(self.live_words, 91)
        column.addWidget(self.live)
        cautions = QHBoxLayout()
        bare(cautions, spacing=10)
        self.caution_sign = SignWidget()
        self.cautions = FitLabel(_CAUTIONS)
        cautions.addWidget(self.caution_sign, 9)
        cautions.addWidget(self.cautions, 91)
        column.addLayout(cautions)
        self._column = column

    def show_state(self, state: Snapshot) -> None:
        done = len(state.results)
        self.number.say(f"{min(done + 1, len(state.plan))} of {len(state.plan)}" if state.plan else "")
        self.label.say(state.label or "The test begins")
        self.do.say("" if state.card is None else state.card.do)
        self.clips.say("" if state.card is None else _clip_text(state.card))
        self.entry.show_asked(state.awaiting)
        self.value.setVisible(not self.entry.asks)
        self.value.say(state.settling or ("" if state.reading is None else reading_text(state.reading)))
        self.live.lay_on(Ink.BAD_PALE if state.live else Ink.CARD)
        self.live_sign.show_sign(Shape.BOLT if state.live else Shape.NONE, Ink.BAD)
        self.live_words.say(state.live or "Feed off, as asked.")
        self.live_words.say_in(Ink.BAD if state.live else Ink.QUIET)
        cautions = state.cautions
        self.caution_sign.show_sign(Shape.BANG if cautions else Shape.NONE, Ink.DOUBT)
        self.cautions.say("\n".join(cautions))
        self._share_room()

    def _share_room(self) -> None:
        """Each part by what it says: cautions in full take the room that short ones leave to the rest."""
        clips = max(2, len(self.clips.text().splitlines()))
        needs = (
            _HEAD,
            max(_LEAST_DO, height_of(self.do.text(), 27, _DO)),
            round(1.25 * _CLIPS * clips),
            _VALUE_ROW,
            _LIVE_ROW,
            max(_LEAST_CAUTIONS, height_of(self.cautions.text(), 44, _CAUTIONS)),
        )
        for place, need in enumerate(needs):
            self._column.setStretch(place, need)


def _clip_text(card: Card) -> str:
    lines = []
    if card.clips:
        lines.append(f"from  {card.clips[0]}\nto  {card.clips[1]}")
    lines += [f"join  {one}\nwith  {other}" for one, other in card.links]
    return "\n".join(lines)
