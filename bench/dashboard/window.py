"""The one window: the job and its stages above, the stage's face in the middle, what can be done and the instruments
below."""

from __future__ import annotations

import math
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QFont, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.dashboard.acceptance.face import AcceptanceFace
from bench.dashboard.acceptance.start_page import stands_in
from bench.dashboard.design.face import DesignFace
from bench.dashboard.desk import Desk
from bench.dashboard.dress import Dress
from bench.dashboard.instruments_strip import InstrumentsStrip
from bench.dashboard.parts.act import Act
from bench.dashboard.parts.acts_bar import ActsBar
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.fit_label import FitLabel
from bench.dashboard.parts.key_button import KeyButton
from bench.dashboard.parts.line_asker import LineAsker
from bench.dashboard.parts.look import DESIGNED_FOR, Ink
from bench.dashboard.parts.reading_order import beside
from bench.dashboard.parts.said_line import SaidLine
from bench.dashboard.record.face import RecordFace
from bench.dashboard.restack.face import RestackFace
from bench.dashboard.stage_rail import StageRail
from bench.dashboard.state import TEST_STANDS, Snapshot, Stage, only_counted_on
from bench.dashboard.stations import DEMO, DESK
from bench.dashboard.survey.face import SurveyFace
from bench.dashboard.winding.face import WindingFace
from bench.quantities import show

__all__ = ["Window"]

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_DRESS_KEY = "Ctrl+D"
_CLOSE_KEY = "Ctrl+Q"
_LEAST = (1180, 700)
"""Below this [px] the full cautions can't be read any more."""
# Shares of the height: head, face, what was said, what can be done, instruments.
_LOOKED_AT = (8, 81, 0, 0, 11)
_WORKED_WITH = (8, 68, 4, 10, 10)
_STILL_LIVE = "LIVE until the volts are at zero"
_SAID, _ACTS = 2, 3
_UNSEEN_S = 0.25


class Window(QWidget):
    """Shows a snapshot; `caption` says what stands behind the instruments.

    desk: what is done through it; None where a rehearsal is only looked at.  The figures along the top are the keys
    that look at the faces, with Alt where a line is typed.  `closed` when it is gone; while a work is at the bench it
    asks before it goes.
    """

    closed = Signal()

    def __init__(self, caption: str, desk: Desk | None = None) -> None:
        super().__init__()
        self._desk = desk
        self._stage: Stage | None = None
        self._doing = self._landed = ""
        self._landing = False
        self._shown: Snapshot | None = None
        self._now = self._all_drawn = -math.inf
        self._turn: tuple[object, ...] = ()
        self._leaves = desk is None
        self._confirming: tuple[Act, ...] = ()
        self._to_zero: tuple[Act, ...] = ()
        self.setWindowTitle("Turnproof")
        self.setMinimumSize(*_LEAST)
        self.resize(*DESIGNED_FOR)
        self._dress = Dress(self)
        self._stations = DEMO if desk is None else DESK
        column = QVBoxLayout(self)
        bare(column, margin=12, spacing=10 if desk is None else 7)
        shares = _LOOKED_AT if desk is None else _WORKED_WITH
        column.addLayout(self._head(caption), shares[0])
        self.winding, self.test = WindingFace(desk), AcceptanceFace(desk)
        self.faces: tuple[Face, ...] = self._all_faces()
        self._stack = QStackedLayout()
        for face in self.faces:
            self._stack.addWidget(face)
            face.acts_changed.connect(self._offer)
            face.asks.connect(self._put)
        column.addLayout(self._stack, shares[1])
        self.said, self.acts, self.asker = SaidLine(), ActsBar(), LineAsker()
        self._foot = QStackedLayout()
        if desk is not None:
            column.addWidget(self.said, shares[_SAID])
            self._foot.addWidget(self.acts)
            self._foot.addWidget(self.asker)
            column.addLayout(self._foot, shares[_ACTS])
            self.acts.asks.connect(self._put)
            self.asker.done.connect(self._asked)
            self.test.step.entry.gives_way = self._foot_has_keys
        self.instruments = InstrumentsStrip()
        column.addWidget(self.instruments, shares[-1])
        self.rail.wanted.connect(self._look_by_hand)
        for place, station in enumerate(self._stations):
            if station.key:
                for key in (station.key, f"Alt+{station.key}"):
                    QShortcut(QKeySequence(key), self, partial(self._look_by_hand, place))
        self.look_at(0)
        # Else the first thing that takes it has the focus, and Enter would be its own.
        self.setFocus()

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed since the last snapshot, and the ages at `now` [s, monotonic]."""
        self._follow(state)
        self._stop_confirming_if_over()
        if self._shown is None or not only_counted_on(self._shown, state):
            self._show_job(state)
            self.said.show_said(state.said)
        self._shown, self._now = state, now
        self._watch_feed(state)
        self.instruments.show_state(state, now)
        failed: Exception | None = None
        for face in self._due(state, now):
            try:
                face.show_state(state, now)
            except Exception as error:
                failed = failed or error  # the others are drawn all the same
        if failed is not None:
            raise failed

    def _due(self, state: Snapshot, now: float) -> tuple[Face, ...]:
        """The one that is looked at is drawn with each frame; the others, which nobody sees, keep up some times a
        second and with whatever begins and ends."""
        turn = (state.doing, state.stage, state.job, state.awaiting)
        if turn == self._turn and 0.0 <= now - self._all_drawn < _UNSEEN_S:
            return (self.face,)
        self._turn, self._all_drawn = turn, now
        return self.faces

    def look_at(self, place: int) -> None:
        """At the face of a station."""
        self._stack.setCurrentIndex(place)
        if self._shown is not None:
            self.faces[place].show_state(self._shown, self._now)
        self.rail.look_at(place)
        self.faces[place].arrived()
        self._offer()

    @property
    def face(self) -> Face:
        """The one that is looked at."""
        return self.faces[self._stack.currentIndex()]

    def leave(self) -> None:
        """Close without asking again."""
        self._leaves = True
        self.close()

    def focusNextPrevChild(self, next: bool) -> bool:  # noqa: N802 (Qt's names)
        """Tab walks as the screen is read, whatever was made first."""
        to = beside(self, self.focusWidget(), forward=next)
        if to is None:
            return False
        to.setFocus(Qt.FocusReason.TabFocusReason if next else Qt.FocusReason.BacktabFocusReason)
        return True

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 (Qt's name)
        if not self._leaves and self._desk is not None and (self._desk.busy or self._desk.state.fed is not None):
            event.ignore()
            self._ask_to_leave(self._desk)
            return
        super().closeEvent(event)
        self._dress.close()
        self.closed.emit()

    def _head(self, caption: str) -> QHBoxLayout:
        head = QHBoxLayout()
        bare(head, spacing=16)
        names = QVBoxLayout()
        bare(names)
        self.name = FitLabel(24, bold=QFont.Weight.Bold)
        self.facts = FitLabel(16, ink=Ink.QUIET)
        names.addWidget(self.name, 58)
        names.addWidget(self.facts, 42)
        self.rail = StageRail(self._stations)
        wide = (42, 34, 24) if self._desk is None else (34, 52, 14)
        head.addLayout(names, wide[0])
        head.addWidget(self.rail, wide[1])
        head.addLayout(self._corner(caption), wide[2])
        return head

    def _corner(self, caption: str) -> QVBoxLayout:
        """What stands behind it all, and light or dark."""
        corner = QVBoxLayout()
        bare(corner, spacing=2)
        self.caption = FitLabel(16, ink=Ink.QUIET, align=_RIGHT)
        self.caption.say(caption)
        self.dress_button = KeyButton(_DRESS_KEY, self._dress.next_words)
        self.dress_button.clicked.connect(lambda: self.change_dress())
        self._dress.changed.connect(lambda: self.dress_button.show_key(_DRESS_KEY, self._dress.next_words))
        QShortcut(QKeySequence(_DRESS_KEY), self, self.change_dress)
        QShortcut(QKeySequence(_CLOSE_KEY), self, self.close)
        foot = QHBoxLayout()
        bare(foot)
        foot.addStretch(25)
        foot.addWidget(self.dress_button, 75)
        corner.addWidget(self.caption, 55)
        corner.addLayout(foot, 45)
        return corner

    def change_dress(self, *, quietly: bool = False) -> None:
        """Light, dark, or as the system is."""
        words = self._dress.change()
        if self._desk is not None and not quietly:
            self._desk.tell(words)

    def _all_faces(self) -> tuple[Face, ...]:
        if self._desk is None:
            return self.winding, self.test
        self.survey, self.design = SurveyFace(self._desk), DesignFace(self._desk)
        self.restack, self.record = RestackFace(self._desk), RecordFace(self._desk)
        return self.survey, self.design, self.winding, self.restack, self.test, self.record

    def _follow(self, state: Snapshot) -> None:
        """To where the job goes by itself: what begins is looked at."""
        if self._desk is None:
            if state.stage is not self._stage:
                self._stage = state.stage
                self.look_at(1 if state.stage in (Stage.TESTING, Stage.ENDED) else 0)
            return
        self._land(state)
        if state.doing != self._doing:
            self._doing = state.doing
            for place, station in enumerate(self._stations):
                if station.name == state.doing:
                    self.look_at(place)

    def _land(self, state: Snapshot) -> None:
        """A job that is opened is looked at where it was left, once the record tells, unless a person looks elsewhere
        first."""
        number = _number_of(state)
        if number != self._landed:
            self._landed, self._landing = number, bool(number)
        if not self._landing or not state.windings or TEST_STANDS not in state.reckoned:
            return
        self._landing = False
        stands = stands_in(state)
        left = "winding" if any(one.begun for one in state.windings) else ""
        if not left and stands is not None and stands.goes_on:
            left = "test"
        for place, station in enumerate(self._stations):
            if station.name == left and not state.doing:
                self.look_at(place)

    def _look_by_hand(self, place: int) -> None:
        if self._desk is not None:
            self._landed, self._landing = _number_of(self._desk.state), False
        self.look_at(place)

    def _offer(self) -> None:
        if self._desk is not None:
            self.acts.show_acts(self._all_acts)

    def _all_acts(self) -> tuple[Act, ...]:
        return self._confirming or (*self._to_zero, *self.face.acts)

    def _watch_feed(self, state: Snapshot) -> None:
        """A test that ended, however it ended, before anybody said that the volts are at zero."""
        left_on = state.fed is not None and not state.doing
        if self._desk is None or left_on == bool(self._to_zero):
            return
        self._to_zero = ()
        if left_on:
            self._to_zero = (Act("Z", "volts are at zero", self._desk.zero_is_confirmed, strong=True),)
            self._desk.tell(f"{_STILL_LIVE}: nobody said that they are. Bring them to zero and unplug.", grave=True)
        self._offer()

    def _ask_to_leave(self, desk: Desk) -> None:
        state = desk.state
        words = "Leave all the same?"
        if desk.busy:
            doing = state.doing or "work"
            words = f"The {doing} goes on: leave it? All that came so far is kept, and it goes on from there."
        live = state.live or (_STILL_LIVE if state.fed is not None else "")
        if live:
            words = f"{live}. Volts to zero and unplug first. {words}"
        desk.tell(words, grave=True)
        self._confirming = (
            Act("Escape", "stay", self._stay, strong=True),
            Act("L", "leave it, all is kept", self.leave),
        )
        self._asked()
        self._offer()

    def _stay(self) -> None:
        self._confirming = ()
        if self._desk is not None:
            self._desk.tell("It goes on.")
        self._offer()

    def _stop_confirming_if_over(self) -> None:
        """Nothing is left to be left: the keys are those of the face again."""
        if self._confirming and self._desk is not None and not self._desk.busy and self._desk.state.fed is None:
            self._confirming = ()
            self._offer()

    def _foot_has_keys(self) -> bool:
        """Whether the foot asks something, which nothing above may take the keys from."""
        return bool(self._confirming) or self._foot.currentWidget() is self.asker

    def _put(self, question: object) -> None:
        self._foot.setCurrentWidget(self.asker)
        self.acts.keys_go_elsewhere(True)
        self.winding.due.keys_go_elsewhere(True)
        self.asker.put(question)  # type: ignore[arg-type]

    def _asked(self) -> None:
        self._foot.setCurrentWidget(self.acts)
        self.acts.keys_go_elsewhere(False)
        self.winding.due.keys_go_elsewhere(False)
        self.setFocus()

    def _show_job(self, state: Snapshot) -> None:
        self.rail.show_state(state)
        if state.job is None:
            self.name.say("No job is open yet")
            return
        job = state.job
        self.name.say(job.identity.name)
        facts = [job.identity.number]
        if job.supply is not None:
            facts.append(f"{show(job.supply.voltage, 'V', 3)} {job.supply.frequency:g} Hz")
        if job.made_for is not None:
            facts.append(f"made for {show(job.made_for.voltage, 'V', 3)} {job.made_for.frequency:g} Hz")
        self.facts.say("   ".join(facts))


def _number_of(state: Snapshot) -> str:
    return "" if state.job is None else state.job.identity.number
