"""The acceptance procedure as a machine without I/O: feed it answers, get the next request, until it is finished."""

from __future__ import annotations

from collections.abc import Callable, Generator
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from bench.acceptance.cautions import Hazard
from bench.acceptance.consistency import lay_contradictions_to_the_reading
from bench.acceptance.context import Context, PlannedStep
from bench.acceptance.decision import Verdict
from bench.acceptance.phases import Phase, always, standard_phases
from bench.acceptance.requests import Confirm, Request, Skipped, StepDone, Stopped, Trouble
from bench.acceptance.result import Finding, NextStep, NotDone, StepResult, TestResult, unit_verdict
from bench.acceptance.sharper_look import settle_by_the_sharper_look
from bench.acceptance.shorted_turn import not_excluded
from bench.acceptance.suspicion import LEAST_BOUND, NothingSuspected, Weigh, danger_in_words

__all__ = ["Diagnose", "Finished", "Procedure"]

Diagnose = Callable[[tuple[StepResult, ...], tuple[NotDone, ...]], tuple[tuple[Finding, ...], NextStep | None]]

# [danger] of the limits where a workshop's own file has none; common practice, no source.
_DANGER = {"stop_above": 0.5, "not_excluded_above": 0.02}


@dataclass(frozen=True)
class Finished:
    """Nothing more to ask; the result is whole."""

    result: TestResult


class Procedure:
    """Walks the phases in the order of their file.

    `start()` and `feed(answer)` return the next Request, or Finished.  An answer is the typed text for Enter, a Reading
    for Take, None for the rest; or an exception for what went otherwise: Skipped, Stopped, Trouble.
    go_on_because: the recorded reason for going past a gate; without one a gate ends the test.  weigh: the faults that
    the readings so far speak for; mains is put on, and raised, only while the dangerous ones are improbable.
    """

    def __init__(
        self,
        context: Context,
        diagnose: Diagnose,
        go_on_because: str = "",
        phases: tuple[Phase, ...] | None = None,
        *,
        weigh: Weigh | None = None,
    ) -> None:
        self.context = context
        self.weigh = weigh or NothingSuspected()
        context.danger = self._danger
        self.phases = standard_phases() if phases is None else phases
        self._diagnose = diagnose
        self._reason = go_on_because
        self._phase = ""
        self._machine = self._run()

    @property
    def phase(self) -> str:
        """Name of the step that asks now; empty before the first."""
        return self._phase

    @property
    def steps(self) -> tuple[StepResult, ...]:
        """The results so far, those that contradict each other laid to the reading."""
        steps = lay_contradictions_to_the_reading(
            tuple(self.context.results), self.context.expectation, self.context.contradicted
        )
        return settle_by_the_sharper_look(steps)

    def plan(self) -> list[PlannedStep]:
        """All steps that this test means to take, in order."""
        return [step for phase in self.phases for step in phase.planned(self.context)]

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
        for phase in self.phases:
            self._phase = phase.name
            before = len(self.context.not_done)
            if not ended:
                ended = self._barred(phase)
            if not ended and phase.about.mains:
                ended = yield from self._too_dangerous(phase)
            if ended:
                self._none_of(phase, ended)
            else:
                ended = yield from self._walk(phase)
            self._as_the_procedure_has_it(phase, before)
        self._phase = ""
        for name in always(self.context.stage):
            if name not in {phase.name for phase in self.phases}:
                self.context.skip(name, "left out of this procedure")
        steps = self.steps
        findings, following = self._diagnose(steps, tuple(self.context.not_done))
        least, most = self._rule("not_excluded_above"), self._rule("stop_above")
        shorted = not_excluded(self.context, steps, self.weigh(steps), least, most)
        not_done = (*self.context.not_done, *([] if shorted is None else [shorted]))
        return TestResult(unit_verdict(steps, findings, not_done), steps, findings, following, not_done)

    def _walk(self, phase: Phase) -> Generator[Request, Any, str]:
        """One phase; why nothing may follow it, empty where something may."""
        ended = ""
        try:
            yield from phase.run(self.context)
        except Stopped as reason:
            ended = f"stopped: {reason}"
        except Skipped as reason:
            # A step's own skip is kept by its phase; what comes up to here is a whole phase, or its cautions.
            self._none_of(phase, str(reason))
            if phase.about.cautioned:
                ended = f"not confirmed: {reason}"
        except Trouble as reason:
            ended = f"instrument trouble: {reason}"
            yield StepDone(self._trouble(phase, str(reason)))
        if ended:
            self._none_of(phase, ended)
        # A phase that ended early leaves nothing live; if even that can't be asked for, the reason stands.
        try:
            yield from self.context.switch_off("end")
            yield from self.context.unload("end")
        except (Stopped, Skipped, Trouble) as reason:
            self.context.excited = None
            self.context.loads.clear()
            ended = ended or f"volts to zero was not confirmed: {reason}"
        return ended

    def _barred(self, phase: Phase) -> str:
        gates = list(self.context.gates)
        if phase.about.mains:
            names = {one.name for one in self.phases}
            gates += [f"{guard} was left out of this procedure" for guard in phase.about.guards if guard not in names]
        if phase.about.mains and gates and not self._reason:
            return "not started: " + "; ".join(gates)
        if phase.about.feeds and self.context.feed_doubt:  # no reason makes up for not knowing what is fed
            return f"not started: {self.context.feed_doubt}"
        return ""

    def _rule(self, name: str) -> float:
        return float(self.context.rules.get("danger", {}).get(name, _DANGER[name]))

    def _danger(self) -> str:
        if self._reason:
            return ""
        above = self._rule("stop_above")
        steps = self.steps
        if above >= LEAST_BOUND and self.weigh.as_designed(steps):
            return ""
        return danger_in_words(self.weigh(steps), self.context.expectation.fed, above)

    def _too_dangerous(self, phase: Phase) -> Generator[Request, Any, str]:
        """Why mains is not put on (again), empty where it may be; somebody is told to unplug."""
        danger = self._danger()
        if not danger:
            return ""
        words = f"Stop here: {danger}. Supply off, unit unplugged, every lead off it; it gets no more volts."
        with suppress(Stopped, Skipped):  # it is not fed, whatever is answered
            yield Confirm(f"{phase.name}:danger", words, self.context.cautions.of(Hazard.MAINS))
        return f"not started: {danger}"

    def _none_of(self, phase: Phase, reason: str) -> None:
        """Whatever of a phase has no result yet is not done, for that reason."""
        known = {result.id for result in self.context.results} | {one.id for one in self.context.not_done}
        for step in phase.planned(self.context):
            if step.id not in known:
                self.context.not_done.append(NotDone(step.id, reason, step.required))

    def _as_the_procedure_has_it(self, phase: Phase, before: int) -> None:
        """Whether what was not done of this phase is required: by the procedure's own word, where it gives one."""
        if phase.required is None:
            return
        done = self.context.not_done
        done[before:] = [replace(one, required=phase.required) for one in done[before:]]

    def _trouble(self, phase: Phase, reason: str) -> StepResult:
        return StepResult(
            id=f"{phase.name}:trouble",
            label=f"{phase.name.replace('_', ' ')}: instrument",
            quantity="instrument",
            winding="",
            measured=None,
            state="no value",
            unit="",
            verdict=Verdict.TROUBLE,
            required=False,
            note=reason,
        )
