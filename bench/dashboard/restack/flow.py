"""How the questions of a stage are gone through: which one is looked at, what is kept of it, which comes next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from bench.records.entry import Kind
from bench.sitting.stage_answering import StagesStand, StageStands, varnish_questions
from bench.sitting.stage_record import read_typed
from bench.winding.stage import Answer, Question

__all__ = ["Doubt", "Flow"]

_WITHDRAW = ("-", "wrong")


@dataclass(frozen=True)
class Doubt:
    """An answer that can hardly be meant.  value: as it would be kept;  why: in a line."""

    question: Question
    value: str
    why: str


class Flow:
    """keep: told kind, question's key and the answer, None to withdraw it."""

    def __init__(self, keep: Callable[[Kind, str, str | None], None]) -> None:
        self._keep = keep
        self._wanted: Kind | None = None
        self._due: Kind | None = None
        self.stands: StagesStand | None = None
        self.key = ""
        self.doubt: Doubt | None = None
        self.ended = False
        self._on_its_way: dict[tuple[Kind, str], str | None] = {}

    # -- where it stands ---------------------------------------------------------------------------

    def take(self, stands: StagesStand) -> None:
        """How the stages stand by the record now; what was answered since that was read goes on counting."""
        if self.stands is not None and stands.number != self.stands.number:
            self._on_its_way = {}
        arrived = [
            (kind, key) for (kind, key), value in self._on_its_way.items() if stands.of(kind).known.text(key) == value
        ]
        for one in arrived:
            del self._on_its_way[one]
        if self.stands is None or stands.number != self.stands.number or stands.due is not self._due:
            self._wanted, self._due = None, stands.due
            self.stands = stands
            self.key, self.doubt = self._first(), None
            return
        self.stands = stands
        if self.key not in [one.key for one in self.asked]:
            self.key = self._first()

    @property
    def kind(self) -> Kind:
        """The stage that is looked at: the one that is due, or the one chosen."""
        return self._wanted or self._due or Kind.RESTACK

    @property
    def stage(self) -> StageStands | None:
        """As it is kept, with the answers that are on their way to the record."""
        if self.stands is None:
            return None
        stage = self.stands.of(self.kind)
        answers = dict(stage.known.answers)
        for (kind, key), value in self._on_its_way.items():
            if kind is self.kind and value is None:
                answers.pop(key, None)
            elif kind is self.kind and value is not None:
                answers[key] = Answer(value, 0)
        if answers == stage.known.answers:
            return stage
        known = replace(stage.known, answers=answers)
        questions = varnish_questions(known) if stage.kind is Kind.VARNISH else stage.questions
        return replace(stage, known=known, questions=questions)

    def give_up_what_is_on_its_way(self) -> None:
        """It was not kept."""
        self._on_its_way = {}

    @property
    def gated(self) -> str:
        """What stands against beginning the stage that is looked at."""
        return "" if self.stage is None else self.stage.against

    @property
    def asked(self) -> tuple[Question, ...]:
        """Those questions that are asked, given what is answered."""
        if self.stage is None:
            return ()
        return tuple(one for one in self.stage.questions if one.only_if(self.stage.known))

    @property
    def question(self) -> Question | None:
        """The one that is looked at."""
        return next((one for one in self.asked if one.key == self.key), None)

    @property
    def kept(self) -> str | None:
        """What stands as its answer."""
        return None if self.stage is None else self.stage.known.text(self.key)

    def asks(self) -> bool:
        """Whether any question has no answer yet."""
        return self.stage is not None and any(self.stage.known.text(one.key) is None for one in self.asked)

    # -- moving ------------------------------------------------------------------------------------

    def change_stage(self) -> None:
        self._wanted = Kind.RESTACK if self.kind is Kind.VARNISH else Kind.VARNISH
        self.doubt, self.ended = None, False
        self.key = self._first()

    def go_to(self, key: str) -> None:
        if any(one.key == key for one in self.asked):
            self.key, self.doubt, self.ended = key, None, False

    def step(self, by: int) -> None:
        """To the question before or after; stays at the ends."""
        keys = [one.key for one in self.asked]
        if self.key in keys:
            self.go_to(keys[min(len(keys) - 1, max(0, keys.index(self.key) + by))])

    # -- answering ---------------------------------------------------------------------------------

    def typed(self, kind: Kind, key: str, text: str) -> str:
        """What is wrong with what was typed for a question; empty where it was taken, left out, or waits for a yes."""
        if kind is self.kind:
            self.go_to(key)
        if kind is not self.kind or self.key != key:
            return "this is asked no more"
        question = self.question
        if question is None or self.stage is None:
            return "nothing is asked"
        if not text:
            self._go_on()
            return ""
        if text.lower() in _WITHDRAW:
            return self.withdraw()
        try:
            value = read_typed(question, text)
        except ValueError as problem:
            return str(problem)
        why = question.doubt(value)
        if why:
            self.doubt = Doubt(question, value, why)
            return ""
        self._answer(question, value)
        return ""

    def choose(self, word: str) -> None:
        """One of the words that the question offers."""
        question = self.question
        if question is not None and word in question.choices:
            self._answer(question, word)

    def withdraw(self) -> str:
        """What stands is taken out; why it can't be, where nothing does."""
        if self.kept is None:
            return "nothing is kept here, so there is nothing to withdraw"
        self._send(self.key, None)
        return ""

    def settle_doubt(self, meant: bool) -> None:
        """Only a yes keeps it."""
        doubt, self.doubt = self.doubt, None
        if doubt is not None and meant:
            self._answer(doubt.question, doubt.value)

    def _answer(self, question: Question, value: str) -> None:
        self._send(question.key, value)
        self._go_on()

    def _send(self, key: str, value: str | None) -> None:
        self._on_its_way[(self.kind, key)] = value
        self._keep(self.kind, key, value)

    def _go_on(self) -> None:
        """To the next one that has no answer; `ended` where none follows."""
        stage, questions = self.stage, self.asked
        assert stage is not None
        keys = [one.key for one in questions]
        after = questions[keys.index(self.key) + 1 :] if self.key in keys else questions
        following = next((one for one in after if stage.known.text(one.key) is None), None)
        if following is None:
            self.ended = True
            return
        self.key = following.key

    def _first(self) -> str:
        """The first that has no answer and needs one, else the first without, else the first."""
        if self.stage is None:
            return ""
        open_ones = [one for one in self.asked if self.stage.known.text(one.key) is None]
        untouched = not self.stage.known.answers
        needed = [] if untouched else [one for one in open_ones if one.required]
        return next((one.key for one in (*needed, *open_ones, *self.asked)), "")
