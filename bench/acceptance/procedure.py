"""The acceptance procedure as a machine without I/O: feed it answers, get the next request, until it is finished."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass
from types import ModuleType
from typing import Any

from bench.acceptance.consistency import lay_contradictions_to_the_reading
from bench.acceptance.context import Context, PlannedStep
from bench.acceptance.decision import Verdict
from bench.acceptance.requests import Request, Skipped, StepDone, Stopped, Trouble
from bench.acceptance.result import Finding, NextStep, NotDone, StepResult, TestResult, unit_verdict
from bench.acceptance.steps import IN_ORDER

__all__ = ["Diagnose", "Finished", "Procedure"]

Diagnose = Callable[[tuple[StepResult, ...], tuple[NotDone, ...]], tuple[tuple[Finding, ...], NextStep | None]]


@dataclass(frozen=True)
class Finished:
    """Nothing more to ask; the result is whole."""

    result: TestResult


class Procedure:
    """Walks the phases in the order of least risk.

    `start()` and `feed(answer)` return the next Request, or Finished.  An answer is the typed text for Enter, a Reading
    for Take, None for the rest; or an exception for what went otherwise: Skipped, Stopped, Trouble.
    go_on_because: the recorded reason for going past a gate; without one a gate ends the test.
    """

    def __init__(self, context: Context, diagnose: Diagnose, go_on_because: str = "") -> None:
        self.context = context
        self._diagnose = diagnose
        self._reason = go_on_because
        self._machine = self._run()

    def plan(self) -> list[PlannedStep]:
        """All steps that this test means to take, in order."""
        return [step for phase in IN_ORDER for step in phase.plan(self.context)]

    def start(self) -> Request | Finished:
        return self._advance(lambda: next(self._machine))

    def feed(self, answer: Any) -> Request | Finished:
        if isinstance(answer, Exception):
            return self._advance(lambda: self._machine.throw(answer))
        return self._advance(lambda: self._machine.send(answer))

    def _advance(self, move: Callable[[], Request]) -> Request | Finished:
        try:
            request = move()
        except StopIteration as end:
            result: TestResult = end.value
            return Finished(result)
        if isinstance(request, StepDone):
            assert isinstance(request.result, StepResult)
            self.context.results.append(request.result)
        return request

    def _run(self) -> Generator[Request, Any, TestResult]:
        ended = ""
        for phase in IN_ORDER:
            if not ended:
                ended = self._barred(phase)
            if ended:
                for step in phase.plan(self.context):
                    self._not_reached(step, ended)
                continue
            try:
                yield from phase.run(self.context)
            except Stopped as reason:
                ended = f"stopped: {reason}"
            except Skipped as reason:
                # A step's own skip is kept by its phase; what comes up to here is a whole phase, or its cautions.
                for step in phase.plan(self.context):
                    self._not_reached(step, str(reason))
                if phase.CAUTIONED:
                    ended = f"not confirmed: {reason}"
            except Trouble as reason:
                ended = f"instrument trouble: {reason}"
                yield StepDone(self._trouble(phase, str(reason)))
            if ended:
                for step in phase.plan(self.context):
                    self._not_reached(step, ended)
            # A phase that ended early leaves nothing live; if even that can't be asked for, the reason stands.
            try:
                yield from self.context.switch_off("end")
            except (Stopped, Skipped, Trouble) as reason:
                self.context.excited = None
                ended = ended or f"volts to zero was not confirmed: {reason}"
        steps = lay_contradictions_to_the_reading(
            tuple(self.context.results), self.context.expectation, self.context.contradicted
        )
        not_done = tuple(self.context.not_done)
        findings, following = self._diagnose(steps, not_done)
        return TestResult(unit_verdict(steps, findings, not_done), steps, findings, following, not_done)

    def _barred(self, phase: ModuleType) -> str:
        gates = self.context.gates
        if phase.MAINS and gates and not self._reason:
            return "not started: " + "; ".join(gates)
        if phase.FEEDS and self.context.feed_doubt:  # no reason makes up for not knowing what is fed
            return f"not started: {self.context.feed_doubt}"
        return ""

    def _not_reached(self, step: PlannedStep, reason: str) -> None:
        known = {result.id for result in self.context.results} | {one.id for one in self.context.not_done}
        if step.id not in known:
            self.context.not_done.append(NotDone(step.id, reason, step.required))

    def _trouble(self, phase: ModuleType, reason: str) -> StepResult:
        name = phase.__name__.rsplit(".", 1)[-1]
        return StepResult(
            id=f"{name}:trouble",
            label=f"{name.replace('_', ' ')}: instrument",
            quantity="instrument",
            winding="",
            measured=None,
            state="no value",
            unit="",
            verdict=Verdict.TROUBLE,
            required=False,
            note=reason,
        )
