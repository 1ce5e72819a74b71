"""Runs a procedure against an operator, an instrument and a record: the only place where the three meet."""

from __future__ import annotations

from contextlib import suppress
from typing import Any, Protocol

from bench.acceptance.answering import Answering, Keep, Operator, Watcher, ask_for_value, reading_object
from bench.acceptance.decision import Verdict
from bench.acceptance.instrument import Instrument
from bench.acceptance.leads import HANDS_OFF_VOLTS
from bench.acceptance.live_findings import LiveFindings
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.recall import Key, Recall, ask_word
from bench.acceptance.requests import Confirm, Connect, Excite, Load, OperatorRequest, Skipped, StepDone, Take, Wait
from bench.acceptance.result import StepResult, TestResult, broke_off
from bench.acceptance.standing import Standing
from bench.acceptance.suspicion import Suspicion
from drivers.reading import Reading

__all__ = ["Keep", "Observer", "Operator", "TestSession", "ask_for_value", "reading_object"]

_BROKEN_OFF = "This test was broken off. Before it goes on: "
_AGAIN = "A step is read again. Before that: "
_ZERO = "volts at zero, unit unplugged and discharged, no lead, no link and no load left on it."
_COVERED = "The next feed can hurt: core, band and screen earthed as they were, every open end covered again."


class Observer(Watcher, Protocol):
    """A view on a running test; called after what it is told was stored."""

    def step_done(self, result: StepResult) -> None: ...

    def suspected(self, suspicions: tuple[Suspicion, ...], words: tuple[str, ...]) -> None:
        """What the readings so far speak for, most probable first, and what changed of it in a line each: not stored.

        Only where something changed that is worth saying.
        """
        ...


class TestSession:
    """One test from the first caution to the result, in one sitting or the last of several.

    recall: what earlier sittings of the same test kept; what was answered then is not asked again, and before the first
    thing that is asked anew the volts are confirmed at zero, and the leads and the feed asked for again.
    """

    __test__ = False

    def __init__(
        self,
        procedure: Procedure,
        operator: Operator,
        instrument: Instrument,
        keep: Keep,
        observers: tuple[Observer, ...] = (),
        *,
        recall: Recall | None = None,
    ) -> None:
        self._procedure = procedure
        self._recall = recall or Recall()
        self._place: Key | None = None
        self._operator = operator
        self._keep = keep
        self._answering = Answering(operator, instrument, self._keep_placed, observers)
        self._observers = observers
        self._live_findings = LiveFindings(procedure.weigh)
        self._stands = Standing()
        self._confirmed = self._covered = not self._recall.resumes
        self.kept = False
        """Whether this sitting's result was kept; one that was broken off before it had taken up again what an earlier
        one had judged is not: the earlier one's stands."""

    def run(self) -> TestResult:
        """Walk the procedure to its end; what is measured and what is judged is kept as it comes.

        However it ends, the operator is asked to bring the volts to zero where they may be on.
        """
        try:
            request = self._procedure.start()
            while not isinstance(request, Finished):
                if isinstance(request, StepDone):
                    self._step_done(request)
                    answer = None
                else:
                    answer = self._answer(request)
                request = self._procedure.feed(answer)
            self.kept = not self._would_hide_an_earlier_one(request.result)
            if self.kept:
                self._keep("result", request.result.as_json())
        except BaseException:
            self._make_safe()
            raise
        return request.result

    def _would_hide_an_earlier_one(self, result: TestResult) -> bool:
        """Whether it was broken off and lacks what an earlier sitting judged; what it rejects is never left out."""
        return (
            self._recall.judged_more_than(result.steps)
            and any(broke_off(one.reason) for one in result.not_done)
            and not any(one.verdict is Verdict.REJECTED for one in result.steps)
        )

    def _answer(self, request: OperatorRequest | Take) -> Any:
        place = self._recall.place(self._procedure.phase, request)
        kept = self._recall.answer(place, request)
        if kept is not None:
            self._procedure.context.sitting = kept.sitting
            self._tell_recalled(request, kept.value)
            return kept.value
        if self._waits(request):
            return None
        for before in self._to_bring(request):
            problem = self._ask(None, before)
            if isinstance(problem, Exception):
                return problem
        self._procedure.context.sitting = self._recall.sitting
        return self._ask(place, request)

    def _ask(self, place: Key | None, request: OperatorRequest | Take) -> Any:
        """Put it to the bench now; what was asked for may be so even where the answer fails."""
        self._place = place
        self._stands.asked(request)
        answer = self._answering.answer(request)
        if not isinstance(answer, Exception):
            self._stands.done(request)
        if place is not None:
            if isinstance(answer, Skipped):
                self._keep_placed("answer", {"step": request.step, "ask": ask_word(request), "skip": str(answer)})
            elif isinstance(request, (Confirm, Wait)) and answer is None:
                self._keep_placed("answer", {"step": request.step, "ask": ask_word(request), "done": True})
        return answer

    def _waits(self, request: OperatorRequest | Take) -> bool:
        """Whether a lead, a feed or a load need not be asked for now: what they are for is kept already."""
        match request:
            case Excite(volts=0.0):
                return not self._stands.live and self._recall.resumes
            case Connect() | Excite():
                return not self._stands.live and self._recall.more(self._procedure.phase)
            case Load():
                return self._recall.resumes and (
                    request.winding not in self._stands.loads
                    if request.ohms is None
                    else self._recall.more(self._procedure.phase)
                )
        return False

    def _to_bring(self, request: OperatorRequest | Take) -> list[OperatorRequest]:
        """Leads, loads and volts as the procedure takes them to be, after the volts were confirmed at zero."""
        if not self._recall.resumes:
            return []
        first: list[OperatorRequest] = []
        context = self._procedure.context
        wanted = list(self._stands.to_bring(context, request))
        told = False
        if not self._confirmed:
            self._confirmed = told = True
            first.append(
                Confirm(
                    "resumed", (_AGAIN if self._recall.reads_again else _BROKEN_OFF) + _ZERO, context.cautions.again()
                )
            )
        if not self._covered and any(_can_hurt(one) for one in (*wanted, request)):
            # What was confirmed in another sitting may be off again, and its cautions were told to somebody else.
            self._covered = True
            first.append(Confirm("resumed:covered", _COVERED, () if told else context.cautions.again()))
        return first + [context.cautioned(one) if isinstance(one, Excite) else one for one in wanted]

    def _keep_placed(self, kind: str, body: dict[str, Any]) -> None:
        """With what was asked, how often before, and in which sitting: what `Recall` finds it again by."""
        where = {} if self._place is None else {"place": list(self._place)}
        self._keep(kind, {**body, "sitting": self._recall.sitting, **where})

    def _tell_recalled(self, request: OperatorRequest | Take, value: Any) -> None:
        if isinstance(value, Reading):
            for observer in self._observers:
                observer.reading_taken(request.step, value)

    def _step_done(self, request: StepDone) -> None:
        for observer in self._observers:
            observer.asked(request)
        result = request.result
        assert isinstance(result, StepResult)
        if not self._recall.knows(result):
            self._keep("step", result.as_json())
        for observer in self._observers:
            observer.step_done(result)
        if self._observers:
            suspicions, words = self._live_findings.after(result, self._procedure.steps)
            for observer in self._observers if words else ():
                observer.suspected(suspicions, words)

    def _make_safe(self) -> None:
        """Whatever broke the test off, somebody is asked to take the volts off; what broke it off stands."""
        fed = self._stands.excited
        if fed is None or fed.volts == 0:
            return
        safe = getattr(self._operator, "make_safe", None)
        with suppress(Exception):
            off = Excite("end", fed.winding, fed.from_terminal, fed.to_terminal, 0.0, fed.hertz, fed.source)
            if safe is not None:
                safe(off)
            else:
                self._operator.ask(off)


def _can_hurt(request: OperatorRequest | Take) -> bool:
    return isinstance(request, Excite) and request.volts > 0 and request.hazard > HANDS_OFF_VOLTS
