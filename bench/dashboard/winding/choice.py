"""Which winding is wound next, and with which counter: a row a winding, as the record has it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from bench.dashboard.parts.card_frame import CardFrame
from bench.dashboard.parts.look import Ink, Shape, largest_font, scale_of
from bench.dashboard.parts.signs import draw_sign
from bench.dashboard.state import Snapshot
from bench.job.winding import Winding
from bench.records.moments import day
from bench.winding.state import WindingState

__all__ = ["WindingChoice", "standing_words"]

_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_BOLD = QFont.Weight.Bold
_MOST_HIGH = 96
"""Of a row [px]."""


def standing_words(state: WindingState | None) -> tuple[str, Shape, Ink]:
    """Where a winding stands, in words and as a sign."""
    if state is None or not (state.begun or state.done is not None):
        return "not begun", Shape.RING, Ink.QUIET
    if state.begun:
        return f"left at {state.turns:g} turns", Shape.DOT, Ink.COPPER
    when = f" on {day(state.done_at)}" if state.done_at else ""
    return f"done with {state.done:g} turns{when}", Shape.TICK, Ink.GOOD


class WindingChoice(CardFrame):
    """The first that is not done is chosen; `chosen` when a person chooses another."""

    chosen = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._windings: tuple[Winding, ...] = ()
        self._states: dict[str, WindingState] = {}
        self._place = 0
        self._by_hand = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("windings of the job")

    @property
    def winding(self) -> Winding | None:
        return self._windings[self._place] if self._place < len(self._windings) else None

    @property
    def state(self) -> WindingState | None:
        """Of the chosen one, by the record."""
        return None if self.winding is None else self._states.get(self.winding.name)

    def show_state(self, state: Snapshot) -> None:
        windings = () if state.job is None else state.job.winding
        states = {one.winding: one for one in state.windings}
        if (windings, states) == (self._windings, self._states):
            return
        if [one.name for one in windings] != [one.name for one in self._windings]:
            self._by_hand = False
        self._windings, self._states = windings, states
        if not self._by_hand:
            self._place = next((n for n, one in enumerate(windings) if not self._done(one)), 0)
        self._place = min(self._place, max(0, len(windings) - 1))
        self._tell()
        self.update()

    @property
    def first_not_done(self) -> Winding | None:
        """What is wound next."""
        return next((one for one in self._windings if not self._done(one)), None)

    def choose_first(self) -> None:
        """Whatever a person chose before: the first that is not done."""
        self._by_hand = False
        self._place = next((n for n, one in enumerate(self._windings) if not self._done(one)), 0)
        self._tell()
        self.update()

    def step(self, by: int) -> None:
        """The next row, or the one before."""
        if self._windings:
            self.choose((self._place + by) % len(self._windings))

    def choose(self, place: int) -> None:
        self._by_hand = True
        self._place = place
        self._tell()
        self.update()
        self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.step(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        place = int((event.position().y() - self._top()) / self._high())
        if 0 <= place < len(self._windings):
            self.choose(place)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        scale = scale_of(self)
        high, top = self._high(), self._top()
        for place, winding in enumerate(self._windings):
            room = QRectF(14 * scale, top + place * high, self.width() - 28 * scale, high)
            self._row(painter, room, winding, place == self._place, scale)
        painter.end()

    def _row(self, painter: QPainter, room: QRectF, winding: Winding, on: bool, scale: float) -> None:
        if on:
            painter.setPen(QPen(Ink.COPPER.colour, 3))
            painter.setBrush(Ink.DOUBT_PALE.colour)
            painter.drawRoundedRect(room.adjusted(0, 2, 0, -2), 6, 6)
        words, shape, ink = standing_words(self._states.get(winding.name))
        side = min(34 * scale, room.height() * 0.5)
        left = room.left() + 16 * scale
        draw_sign(painter, QRectF(left, room.center().y() - side / 2, side, side), shape, ink)
        left += side + 16 * scale
        inner = room.right() - 16 * scale - left
        wire = "" if winding.wire is None else winding.wire.name
        strands = f" x {winding.strands}" if winding.strands > 1 else ""
        parts = (
            (0.26, winding.name, 30, Ink.TEXT, _LEFT, _BOLD),
            (
                0.20,
                "turns not known" if winding.turns is None else f"{winding.turns} turns",
                26,
                Ink.TEXT,
                _LEFT,
                _BOLD,
            ),
            (0.18, wire + strands, 20, Ink.QUIET, _LEFT, QFont.Weight.Normal),
            (0.36, words, 24, ink, _RIGHT, QFont.Weight.DemiBold),
        )
        for share, text, most, colour, align, bold in parts:
            place = QRectF(left, room.top(), inner * share, room.height())
            painter.setFont(
                largest_font(text, int(place.width()) - 4, int(place.height()), round(most * scale), 9, bold)
            )
            painter.setPen(colour.colour)
            painter.drawText(place, align, text)
            left += inner * share

    def _high(self) -> float:
        scale = scale_of(self)
        return min((self.height() - 16 * scale) / max(1, len(self._windings)), _MOST_HIGH * scale)

    def _top(self) -> float:
        return 8 * scale_of(self)

    def _done(self, winding: Winding) -> bool:
        state = self._states.get(winding.name)
        return state is not None and state.done is not None and not state.begun

    def _tell(self) -> None:
        if self.winding is not None:
            self.setAccessibleDescription(f"{self.winding.name}: {standing_words(self.state)[0]}")
