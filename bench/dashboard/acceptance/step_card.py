"""The step that is asked now: what is live, what to do and what can hurt, the reading; beside it the unit as a drawing
with everything that is to be joined to it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from bench.dashboard.acceptance.asking import Card
from bench.dashboard.acceptance.diagram.rig import Part
from bench.dashboard.acceptance.diagram.view import DiagramView
from bench.dashboard.acceptance.live_band import LiveBand
from bench.dashboard.acceptance.reading_panel import ReadingPanel
from bench.dashboard.parts.card_frame import CardFrame, bare
from bench.dashboard.parts.fit_label import FitLabel, height_of
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.signs import SignWidget
from bench.dashboard.state import Snapshot

__all__ = ["StepCard"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_TOP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
# Sizes of type, and heights of rows, as asked for [px].
_DO, _CLIPS, _CAUTIONS = 28, 18, 17
_STILL_LIVE = "LIVE until the volts are at zero"
_HEAD, _LEAST_DO = 44, 76
_LONG = 900
"""Letters of cautions that go into the words' own third of the width at a size that can be read."""
_WORDS, _DRAWING = 37, 63
"""Shares of the width."""


class StepCard(CardFrame):
    """The live band along the top; left from top to foot step, what to do, clips, reading, cautions; right the unit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        card = QVBoxLayout(self)
        bare(card, margin=8, spacing=6)
        self.live = LiveBand()
        self.live_words = self.live.words
        self.live.hide()
        card.addWidget(self.live, 9)
        row = QHBoxLayout()
        bare(row, spacing=8)
        card.addLayout(row, 91)
        column = QVBoxLayout()
        bare(column, spacing=5)
        row.addLayout(column, _WORDS)
        self.diagram = DiagramView()
        row.addWidget(self.diagram, _DRAWING)
        head = QHBoxLayout()
        bare(head, spacing=8)
        self.label = FitLabel(22, bold=QFont.Weight.Bold, ink=Ink.COPPER)
        self.number = FitLabel(18, ink=Ink.QUIET, align=_RIGHT)
        head.addWidget(self.label, 72)
        head.addWidget(self.number, 28)
        self.do = FitLabel(_DO, bold=QFont.Weight.DemiBold, align=_TOP)
        self.clips = FitLabel(_CLIPS, align=_TOP)
        self.reading = ReadingPanel()
        self.value, self.entry = self.reading.value, self.reading.entry
        column.addLayout(head)
        column.addWidget(self.do)
        column.addWidget(self.clips)
        column.addWidget(self.reading)
        cautions = QHBoxLayout()
        bare(cautions, spacing=8)
        self.caution_sign = SignWidget()
        self.cautions = FitLabel(_CAUTIONS)
        cautions.addWidget(self.caution_sign, 13)
        cautions.addWidget(self.cautions, 87)
        column.addLayout(cautions)
        self._beside_sign = cautions
        self._column = column
        self._needs: tuple[int, ...] = ()
        self.reads_long = False
        """Whether there are so many cautions that they need all the room."""

    def show_state(self, state: Snapshot) -> None:
        """What changed with the snapshot."""
        done = len(state.results)
        self.number.say(f"{min(done + 1, len(state.plan))} of {len(state.plan)}" if state.plan else "")
        self.label.say(state.label or "The test begins")
        self.clips.say("" if state.card is None else _clip_text(state.card))
        off = _STILL_LIVE if state.rig.live and state.rig.now is Part.OFF else ""
        self.live.show_live(state.live or off, hurts=state.rig.live)
        self.diagram.show_rig(state.job, state.rig)
        cautions = state.cautions
        self.caution_sign.show_sign(Shape.BANG if cautions else Shape.NONE, Ink.DOUBT)
        self.cautions.say("\n".join(cautions))
        # Thirty lines in a third of the width are read by nobody; where nothing is to be joined they have all of it.
        self.reads_long = sum(map(len, cautions)) > _LONG and not self.clips.text()
        self.diagram.setVisible(not self.reads_long)
        for place, share in enumerate((6, 94) if self.reads_long else (13, 87)):
            self._beside_sign.setStretch(place, share)

    def show_time(self, state: Snapshot, now: float) -> None:
        """What goes on with the time [s, monotonic]: a reading that was taken, a wait."""
        self.reading.show_state(state, now)
        do = "" if state.card is None else state.card.do
        if self.entry.asks and self.entry.refusal:
            do = do.removeprefix(self.entry.refusal).lstrip(". ")
        self.do.say(do)
        self._share_room()

    def _share_room(self) -> None:
        """Each part by what it says: cautions in full take the room that short ones leave to the rest."""
        cautions = self.cautions.text()
        do = height_of(self.do.text(), 18, _DO)
        needs: tuple[int, ...] = (
            _HEAD,
            # While something is read, that is what is looked at; the clips are in the drawing.
            max(_LEAST_DO, do if self.reading.high == 0 else round(0.7 * do)),
            0 if self.reading.high else round(1.25 * _CLIPS * len(self.clips.text().splitlines())),
            0 if self.reads_long else self.reading.high,
            height_of(cautions, 130 if self.reads_long else 30, _CAUTIONS) if cautions else 0,
        )
        spare = max(0, _ROOM - sum(needs))
        taken = 1 if self.reading.high == 0 or self.reads_long else 3
        if self.reads_long:
            needs, spare = (*needs[:4], needs[4] + spare), 0
        needs = (*needs[:taken], needs[taken] + spare, *needs[taken + 1 :])
        if needs == self._needs:
            return
        self._needs = needs
        for place, need in enumerate(needs):
            self._column.setStretch(place, need)
        for part, need in ((self.clips, needs[2]), (self.reading, needs[3]), (self.cautions, needs[4])):
            part.setVisible(need > 0)
        self.caution_sign.setVisible(needs[4] > 0)


_ROOM = 400
"""Height of the words' column [px]; what nothing asks for is what is to be done's."""


def _clip_text(card: Card) -> str:
    lines = []
    if card.clips:
        lines.append(f"from  {card.clips[0]}\nto  {card.clips[1]}")
    lines += [f"join  {one}\nwith  {other}" for one, other in card.links]
    return "\n".join(lines)
