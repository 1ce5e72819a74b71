"""What can be done at restack and varnish: answer by one key or by a line, go back, withdraw, a photograph, anew."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QTimer

from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act
from bench.dashboard.parts.act import Question as Line
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.paths import path_typed
from bench.dashboard.restack.flow import Flow
from bench.dashboard.work.to_keep import ToKeep
from bench.records.entry import Kind
from bench.sitting.reason import is_reason
from bench.sitting.stage_answering import StageAnswering, StagesStand

__all__ = ["CHOICE_KEYS", "STAGES", "StageActs"]

CHOICE_KEYS = ("A", "S", "D", "F", "G")
"""For the words that a question offers: side by side, whatever the words are."""
STAGES = "stages"
"""Name under which it is reckoned how restack and varnish stand."""


class StageActs:
    """Between the face and the desk.  changed: told when another question is looked at;  pictures: offered as paths."""

    def __init__(
        self, desk: Desk, face: Face, changed: Callable[[], None], pictures: Callable[[], tuple[str, ...]]
    ) -> None:
        self._desk, self._face, self._changed, self._pictures = desk, face, changed, pictures
        self.flow = Flow(self._keep)
        self._answered_here = False

    # -- the record --------------------------------------------------------------------------------

    def look(self) -> None:
        """How they stand by the record now."""
        answering = self._answering()
        if answering is not None:
            self._desk.reckon(STAGES, answering.look)

    def judge(self) -> None:
        """Keep what was said of what was answered here."""
        answering = self._answering()
        if self._answered_here and answering is not None:
            self._answered_here = False
            words = f"what was said of the {self.flow.kind}"
            self._desk.keep(STAGES, ToKeep(words, partial(answering.judge, self.flow.kind)))

    def _answering(self) -> StageAnswering | None:
        state = self._desk.state
        return None if state.job is None or state.path is None else StageAnswering(state.job, state.path)

    def _keep(self, kind: Kind, key: str, value: str | None) -> None:
        words = f"{kind}, {key} withdrawn" if value is None else f"{kind}, {key}: {value}"
        self._do(words, lambda answering: answering.answer(kind, key, value))

    def _do(self, words: str, keep: Callable[[StageAnswering], StagesStand]) -> None:
        answering = self._answering()
        if answering is not None:
            self._answered_here = True
            self._desk.keep(STAGES, ToKeep(words, partial(keep, answering)))

    # -- what can be done --------------------------------------------------------------------------

    def offer(self) -> None:
        self._face.offer(self._acts())

    def _acts(self) -> tuple[Act, ...]:
        flow = self.flow
        if flow.stage is None:
            return ()
        other = Act("V", "to the restack" if flow.kind is Kind.VARNISH else "to varnish", self._change_stage)
        if flow.doubt is not None:
            return (
                Act("Y", "yes, keep it", partial(self._settle, True), strong=True),
                Act("N", "no, type it anew", partial(self._settle, False)),
            )
        if flow.gated:
            reason = Line(("why go on all the same",), self._begin_although)
            return (Act("B", "begin all the same", reason), other)
        moves = (Act("Up", "before", partial(self._step, -1)), Act("Down", "next", partial(self._step, 1)))
        taken_back = () if flow.kept is None else (Act("-", "withdraw it", self._withdraw),)
        return (*self._answers(), *taken_back, *moves, self._photograph(), *self._anew(), other)

    def _answers(self) -> tuple[Act, ...]:
        question = self.flow.question
        if question is None:
            return ()
        if self.flow.ended:
            return (Act("Return", "through all again", partial(self.go_to, self.flow.asked[0].key), strong=True),)
        if question.choices:
            pairs = zip(CHOICE_KEYS, question.choices, strict=False)
            return tuple(Act(key, word, partial(self._choose, word), large=True) for key, word in pairs)
        return (Act("Return", f"type: {question.words}", self._line(), strong=True, large=True),)

    def _photograph(self) -> Act:
        return Act("P", "photograph", Line(("path of the photograph",), self._keep_photograph, self._pictures()))

    def _anew(self) -> tuple[Act, ...]:
        stage = self.flow.stage
        if stage is None or not stage.begun:
            return ()
        words = "stacked anew" if stage.kind is Kind.RESTACK else "varnished once more"
        return (Act("N", words, Line((f"{words}: all answers begin again; type yes",), self._begin_anew)),)

    # -- doing it ----------------------------------------------------------------------------------

    def go_to(self, key: str) -> None:
        self.flow.go_to(key)
        self._show()

    def _step(self, by: int) -> None:
        self.flow.step(by)
        self._show()

    def _change_stage(self) -> None:
        self.judge()
        self.flow.change_stage()
        self._show()

    def _choose(self, word: str) -> None:
        self.flow.choose(word)
        self._go_on()

    def _withdraw(self) -> None:
        words = self.flow.kept
        if not self.flow.withdraw():
            self._desk.tell(f"{words}: withdrawn")
        self._show()

    def _settle(self, meant: bool) -> None:
        self.flow.settle_doubt(meant)
        if meant:
            self._go_on()
        else:
            self._show()
            self._put_line()

    def _line(self) -> Line:
        question = self.flow.question
        assert question is not None
        unit = f" [{question.bare}]" if question.bare else ""
        return Line((f"{question.words}{unit}",), partial(self._typed, self.flow.kind, question.key))

    def _typed(self, kind: Kind, key: str, answers: tuple[str, ...]) -> str:
        """An answer is for the question that its line was put for, whatever is looked at meanwhile."""
        before = self.flow.kept
        problem = self.flow.typed(kind, key, answers[0])
        if problem:
            return problem
        if answers[0] in ("-", "wrong"):
            self._desk.tell(f"{before}: withdrawn")
            self._show()
        else:
            self._go_on()
        return ""

    def _go_on(self) -> None:
        """The next question is put at once where it needs a line, until somebody leaves the line."""
        self._show()
        if self.flow.ended:
            self.judge()
            return
        question = self.flow.question
        if self.flow.doubt is None and question is not None and not question.choices:
            self._put_line()

    def _put_line(self) -> None:
        # The line that was just answered is put away first.
        key = self.flow.key
        QTimer.singleShot(0, self._face, lambda: self._put_line_of(key))

    def _put_line_of(self, key: str) -> None:
        question = self.flow.question
        if self._face.isVisible() and question is not None and question.key == key and not question.choices:
            self._face.put(self._line())

    def _keep_photograph(self, answers: tuple[str, ...]) -> str:
        path: Path | None = path_typed(answers[0])
        if path is None:
            return "expected the path of a file"
        kind = self.flow.kind
        self._do(f"{kind}, picture: {path}", lambda answering: answering.photograph(kind, path))
        return ""

    def _begin_anew(self, answers: tuple[str, ...]) -> str:
        if answers[0].lower() != "yes":
            return "expected the word yes, or Esc"
        kind = self.flow.kind
        self.flow.give_up_what_is_on_its_way()
        self._do(f"{kind}, begun anew", lambda answering: answering.begin_anew(kind))
        return ""

    def _begin_although(self, answers: tuple[str, ...]) -> str:
        if not is_reason(answers[0]):
            return f"{answers[0][:40]!r} is no reason, expected words"
        because = f"{Kind.VARNISH}, begun all the same because: {answers[0]}"
        self._do(because, lambda answering: answering.begin_although(answers[0]))
        return ""

    def _show(self) -> None:
        self._changed()
        self.offer()
