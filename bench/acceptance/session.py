"""Runs a procedure against an operator, an instrument and a record: the only place where the three meet."""

from __future__ import annotations

from typing import Protocol

from bench.acceptance.answering import Answering, Keep, Operator, Watcher, ask_for_value, reading_object
from bench.acceptance.instrument import Instrument
from bench.acceptance.procedure import Finished, Procedure
from bench.acceptance.requests import StepDone
from bench.acceptance.result import StepResult, TestResult

__all__ = ["Keep", "Observer", "Operator", "TestSession", "ask_for_value", "reading_object"]


class Observer(Watcher, Protocol):
    """A view on a running test; called after what it is told was stored."""

    def step_done(self, result: StepResult) -> None: ...


class TestSession:
    """One test from the first caution to the result."""

    __test__ = False

    def __init__(
        self,
        procedure: Procedure,
        operator: Operator,
        instrument: Instrument,
        keep: Keep,
        observers: tuple[Observer, ...] = (),
    ) -> None:
        self._procedure = procedure
        self._answering = Answering(operator, instrument, keep, observers)
        self._keep = keep
        self._observers = observers

    def run(self) -> TestResult:
        """Walk the procedure to its end; what is measured and what is judged is kept as it comes."""
        request = self._procedure.start()
        while not isinstance(request, Finished):
            if isinstance(request, StepDone):
                self._step_done(request)
                answer = None
            else:
                answer = self._answering.answer(request)
            request = self._procedure.feed(answer)
        self._keep("result", request.result.as_json())
        return request.result

    def _step_done(self, request: StepDone) -> None:
        for observer in self._observers:
            observer.asked(request)
        result = request.result
        assert isinstance(result, StepResult)
        self._keep("step", result.as_json())
        for observer in self._observers:
            observer.step_done(result)
