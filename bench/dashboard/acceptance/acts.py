"""What can be done at the test: begin, answer what is asked, leave a step out, stop."""

from __future__ import annotations

import math
import time
from functools import partial
from typing import TYPE_CHECKING

from bench.acceptance.ask import Reply, ReplyKind
from bench.acceptance.requests import Confirm, Enter, Excite, OperatorRequest, Wait
from bench.acceptance.result import TestResult
from bench.acceptance.watching import PERSON, Patience
from bench.dashboard.acceptance.certificate import WrittenCertificate
from bench.dashboard.acceptance.leaving import Leaving
from bench.dashboard.acceptance.start_page import stands_in
from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.work.test_work import TestWork
from bench.job.profiles import known
from bench.sitting.at_the_test import AskedTest
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.dashboard.acceptance.face import AcceptanceFace

__all__ = ["AcceptanceActs"]

_HAND = "hand"
_TOO_SOON_S = 0.6
"""[s] in which nobody has read what is asked."""
_LET_GO = 0.6
"""Part of it that must lie between two presses: a key that is held down comes many times a second, and not every system
says that it is held."""


class AcceptanceActs:
    """Between the face and the desk.  patience: with a meter on a line."""

    def __init__(self, desk: Desk, face: AcceptanceFace, patience: Patience = PERSON) -> None:
        self._desk, self._face, self.patience = desk, face, patience
        self.leaving = Leaving(desk, face)
        self.certificate = WrittenCertificate(desk)
        self._reason = ""
        self._choosing = True
        self._was_testing = False
        self.too_soon_s = _TOO_SOON_S
        self._pressed_at = -math.inf
        self._verdict: TestResult | None = None

    def show_state(self, state: Snapshot, now: float) -> bool:
        """Offer what can be done; whether the test is still to be begun."""
        testing = state.doing == "test"
        if testing != self._was_testing or state.verdict is not self._verdict:
            self._was_testing, self._verdict = testing, state.verdict
            self._choosing = not testing and state.verdict is None
            self.leaving.forget()
        self.certificate.look(state)
        if testing:
            self._face.offer(self.leaving.acts(state) or self._while_testing(state))
            self._end_wait(state, now)
        elif self._choosing:
            self._face.offer(self._before())
        else:
            self._face.offer(self._after())
        return self._choosing

    # -- before and after --------------------------------------------------------------------------

    def _before(self) -> tuple[Act, ...]:
        procedures = tuple(known("procedures"))
        stands = stands_in(self._desk.state)
        words = "begin" if stands is None else "go on" if stands.goes_on else "begin a new one"
        certificate = () if stands is None or not stands.verdict else (Act("C", "certificate", self.certificate.write),)
        return (
            Act("Return", words, partial(self._begin, False), strong=True),
            *certificate,
            Act("M", "another meter", Question(("meter",), self._use_meter, self._meters())),
            Act("P", "another procedure", Question(("procedure",), self._use_procedure, procedures)),
            Act("A", "begin anew", partial(self._begin, True)),
            Act("G", "go past a gate", Question(("why it may be gone past",), self._go_past)),
        )

    def _after(self) -> tuple[Act, ...]:
        state = self._desk.state
        steps = () if state.verdict is None else tuple(one.id for one in state.verdict.steps)
        again = Question(("step to read again, such as ratio:heater",), self._again, steps)
        return (
            Act("Return", "to the beginning", self._choose_anew, strong=True),
            Act("R", "read a step again", again),
            Act("C", "certificate", self.certificate.write),
        )

    def _meters(self) -> tuple[str, ...]:
        return (*(one.name for one in self._desk.bench.meter), _HAND)

    def _choose_anew(self) -> None:
        self._choosing = True
        self._desk.look_at_record()
        self._face.renew()

    def _use_meter(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return "expected PROFILE@PORT, a name, or hand"
        try:
            self._desk.choose_meters((answers[0],))
        except BadInput as problem:
            return str(problem)
        self._face.start.use_meter(answers[0])
        return ""

    def _use_procedure(self, answers: tuple[str, ...]) -> str:
        self._face.start.use_procedure(answers[0])
        return ""

    def _go_past(self, answers: tuple[str, ...]) -> str:
        """Asked for once: it holds for the next beginning."""
        if not answers[0]:
            return "expected the reason, which is recorded"
        self._reason = answers[0]
        self._desk.tell(f"The next test goes past its gates, because: {answers[0]}", grave=True)
        return ""

    def _begin(self, anew: bool) -> None:
        page = self._face.start
        if not page.meter:
            self._face.put(Question(("meter",), partial(self._use_and_begin, anew), self._meters()))
            return
        reason, self._reason = self._reason, ""
        self._start(AskedTest((page.meter,), page.procedure or None, reason, anew, how_anew="A begins a new one"))

    def _use_and_begin(self, anew: bool, answers: tuple[str, ...]) -> str:
        problem = self._use_meter(answers)
        if not problem:
            self._begin(anew)
        return problem

    def _again(self, answers: tuple[str, ...]) -> str:
        page = self._face.start
        if not answers[0]:
            return "expected a step"
        self._start(AskedTest((page.meter,), page.procedure or None, again=(answers[0],)))
        return ""

    def _start(self, asked: AskedTest) -> None:
        state = self._desk.state
        if state.job is None or state.path is None:
            return
        try:
            self._desk.begin(TestWork(state.path, state.job, self._desk.bench, asked, self.patience))
        except BadInput as problem:
            self._desk.tell(str(problem), grave=True)

    # -- while it goes on --------------------------------------------------------------------------

    def _while_testing(self, state: Snapshot) -> tuple[Act, ...]:
        awaiting = state.awaiting
        stop = Act("F9", "stop the test", self.leaving.stop)
        turn = Act("F7", "amps" if self._face.exciting.watts else "watts", self._face.exciting.turn)
        curves = (turn,) if self._face.exciting.one_alone else ()
        if awaiting is None or awaiting.keyless:
            return (*curves, stop)
        skip = Act("F8", "skip this step", self.leaving.skip)
        return (Act("Return", _done_words(awaiting.request), self._done, strong=True), *curves, skip, stop)

    def _done(self) -> None:
        awaiting = self._desk.state.awaiting
        if awaiting is None:
            return
        now, before = time.monotonic(), self._pressed_at
        self._pressed_at = now
        too_soon = self._desk.asked_for_s < self.too_soon_s or now - before < _LET_GO * self.too_soon_s
        if not isinstance(awaiting.request, Enter) and too_soon:
            return  # a key pressed twice, or held down, says nothing of what is asked only now
        if isinstance(awaiting.request, Enter):
            text = self._face.step.entry.typed()
            if text is not None:
                self._desk.reply(Reply(ReplyKind.VALUE, text))
        elif isinstance(awaiting.request, Wait):
            self._desk.reply(Reply(ReplyKind.SKIP, "ended early: by the person at the bench"))
        else:
            self._desk.reply(Reply(ReplyKind.DONE))

    def _end_wait(self, state: Snapshot, now: float) -> None:
        """A wait that is over answers itself."""
        awaiting = state.awaiting
        if awaiting is None or not isinstance(awaiting.request, Wait):
            return
        if now - state.awaiting_since >= awaiting.request.seconds:
            self._desk.reply(Reply(ReplyKind.DONE))


def _done_words(request: OperatorRequest) -> str:
    match request:
        case Enter():
            return "take what is typed"
        case Wait():
            return "end the wait early"
        case Excite(volts=0.0):
            return "volts are at zero"
        case Confirm():
            return "it is so"
    return "done"
