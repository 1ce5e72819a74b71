"""The core goes together again, and is varnished once it was tested: one question after the other, all answers beside
it, and the core as it stands by them."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedLayout, QVBoxLayout, QWidget

from bench.acceptance.cautions import Cautions, Hazard
from bench.dashboard.desk import Desk
from bench.dashboard.news import Reckoned
from bench.dashboard.parts.card_frame import bare
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.look import Ink, Shape
from bench.dashboard.parts.paths import pictures_near
from bench.dashboard.restack.acts import STAGES, StageActs
from bench.dashboard.restack.answer_row import sign_of
from bench.dashboard.restack.answers_view import AnswersView
from bench.dashboard.restack.core_view import CoreView
from bench.dashboard.restack.heat_view import HeatView, heats_of
from bench.dashboard.restack.question_card import QuestionCard
from bench.dashboard.restack.remarks_view import RemarksView
from bench.dashboard.restack.stacked import stacked_of
from bench.dashboard.state import Snapshot
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.sitting.stage_answering import StagesStand, StageStands
from bench.winding.restack_words import FIRST_WORDS
from bench.winding.stage import Question

__all__ = ["RestackFace"]

_LOOK_EVERY_S = 2.0
_PICTURES = "pictures near"


class RestackFace(Face):
    """Left what is asked and all answers, right what comes of them."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._shown: Snapshot | None = None
        self._reckoned: Reckoned | None = None
        self._stamp: tuple[float, ...] = ()
        self._looked = 0.0
        self._of: tuple[object, str] = (None, "")
        self._acts_of = StageActs(desk, self, self._draw, self._pictures)
        self.card, self.answers = QuestionCard(), AnswersView()
        self.core, self.heats, self.remarks = CoreView(), HeatView(), RemarksView()
        self.answers.wanted.connect(self._acts_of.go_to)
        line = QHBoxLayout(self)
        bare(line, spacing=10)
        left, right = QVBoxLayout(), QVBoxLayout()
        for column in (left, right):
            bare(column, spacing=10)
        left.addWidget(self.card, 47)
        left.addWidget(self.answers, 53)
        self._drawings = QStackedLayout()
        self._drawings.addWidget(self.core)
        self._drawings.addWidget(self.heats)
        right.addLayout(self._drawings, 58)
        right.addWidget(self.remarks, 42)
        self._right = right
        line.addLayout(left, 54)
        line.addLayout(right, 46)
        self._draw()

    @property
    def stands(self) -> StagesStand | None:
        """As it is drawn."""
        return self._acts_of.flow.stands

    def show_state(self, state: Snapshot, now: float) -> None:
        """Draw what changed; looks at the record where another program wrote in it."""
        of = (state.job, state.doing)
        if of != self._of:
            self._of = of
            self._acts_of.look()
        elif self.isVisible() and now - self._looked >= _LOOK_EVERY_S:
            self._looked = now
            self._look_where_changed()
        if state is self._shown:
            return
        self._shown = state
        reckoned = state.reckoned.get(STAGES)
        if reckoned is not None and reckoned is not self._reckoned:
            self._reckoned = reckoned
            if reckoned.value is None:
                self._acts_of.flow.give_up_what_is_on_its_way()
                self._acts_of.look()
            else:
                self._acts_of.flow.take(reckoned.value)
            self._draw()
            self._acts_of.offer()

    def arrived(self) -> None:
        self._acts_of.look()
        state = self._desk.state
        folder = None if state.path is None else state.path.parent
        folders = [Path.cwd(), *([] if folder is None else [folder])]
        self._desk.reckon(_PICTURES, lambda: pictures_near(*folders))

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 (Qt's name)
        """What was answered is judged when somebody leaves it, as when the command ends."""
        if not event.spontaneous():
            self._acts_of.judge()
        super().hideEvent(event)

    def _look_where_changed(self) -> None:
        stamp = _stamp_of_record()
        if stamp != self._stamp:
            self._stamp = stamp
            self._acts_of.look()

    def _pictures(self) -> tuple[str, ...]:
        found = self._desk.state.reckoned.get(_PICTURES)
        return () if found is None or found.value is None else found.value

    def _draw(self) -> None:
        flow, job = self._acts_of.flow, self._desk.state.job
        stage = flow.stage
        if stage is None or job is None:
            self._draw_nothing(job is None)
            return
        if flow.gated:
            self.card.show_gate(flow.gated)
        elif flow.doubt is not None:
            self.card.show_doubt(flow.doubt.question.words, flow.doubt.value, flow.doubt.why)
        elif flow.ended or flow.question is None:
            self._draw_end(stage)
        else:
            self._draw_question(stage, flow.question)
        current = "" if flow.ended else flow.key
        self.answers.show_answers(stage, flow.asked, current)
        self.remarks.show_remarks(stage, current, flow.asks())
        # Before varnish there is no heat to draw yet, and what can hurt is said in full.
        drawn = 26 if stage.kind is Kind.VARNISH and not stage.begun else 58
        self._right.setStretch(0, drawn)
        self._right.setStretch(1, 100 - drawn)
        if stage.kind is Kind.RESTACK:
            self.core.show_stacked(stacked_of(job, stage.known))
            self._drawings.setCurrentWidget(self.core)
        else:
            self.heats.show_heats(heats_of(job, stage.known))
            self._drawings.setCurrentWidget(self.heats)

    def _draw_nothing(self, no_job: bool) -> None:
        words = "No job is open: open one from the record (6)." if no_job else "Reading the record."
        self.card.show_question("restack", "", words, "", ("", Shape.NONE, Ink.QUIET), "")

    def _draw_question(self, stage: StageStands, question: Question) -> None:
        asked = self._acts_of.flow.asked
        place = f"{stage.kind}: question {asked.index(question) + 1} of {len(asked)}"
        value = stage.known.text(question.key)
        sign, ink = sign_of(question, value, stage.account.remarks)
        if value is not None:
            kept = (f"kept: {value}", sign, ink)
        else:
            needed = question.required or sign is Shape.RING
            kept = ("not answered yet" if needed else "may be left out", sign, Ink.COPPER if needed else Ink.QUIET)
        asks = f"{question.prompt[:1].upper()}{question.prompt[1:]}"
        self.card.show_question(
            question.words, place, asks, stage.expected.get(question.key, ""), kept, _at_question(stage.kind, question)
        )

    def _draw_end(self, stage: StageStands) -> None:
        """What comes next, once nothing is left to ask."""
        ends = (f"{stage.kind}: in order", Shape.TICK, Ink.GOOD)
        if stage.warned:
            ends = (f"{stage.kind}: a warning stands", Shape.BANG, Ink.BAD)
        elif not stage.in_order:
            ends = (f"{stage.kind}: something is not answered", Shape.RING, Ink.COPPER)
        if stage.kind is Kind.RESTACK:
            asks = "Next: the test (5), while it can still be taken apart."
            if stage.warned:
                asks = "Put right what is warned of, before anything is fed; then the test (5)."
            self.card.show_question("all is asked", "", asks, "", ends, "")
            return
        afterwards = "\n".join(line.strip() for line in stage.account.afterwards[1:])
        first = "Next: test it again once it is cold (5)."
        asks = first if stage.account.further.get("compared") is None else "Tested before varnish and after."
        self.card.show_question("all is asked", "", asks, "", ends, "")
        self.card.show_plain(afterwards)


def _at_question(kind: Kind, question: Question) -> str:
    """What can hurt, or be spoilt, at this very question."""
    if kind is Kind.RESTACK:
        if question.key in ("came_out", "laminations_in", "left_over", "scrapped"):
            return _lines(Hazard.LAMINATIONS)
        return FIRST_WORDS[1] if question.key == "interleave" else ""
    hazard = Hazard.OVEN if question.key.startswith(("bake", "predry")) else Hazard.VARNISH
    return _lines(hazard) if question.key not in ("by", "note", "mass_after") else ""


def _lines(hazard: Hazard) -> str:
    """In a line: in full they stand beside the answers before the first one."""
    told = Cautions()
    told.of(hazard)
    return "\n".join(told.of(hazard))


def _stamp_of_record() -> tuple[float, ...]:
    path = store_path()
    stamps = []
    for one in (path, path.with_name(path.name + "-wal")):
        try:
            found = os.stat(one)
        except OSError:
            continue
        stamps += [found.st_mtime_ns, found.st_size]
    return tuple(stamps)
