"""The diagnosis of a test that goes on, as the procedure asks for it."""

from __future__ import annotations

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.acceptance.suspicion import Suspicion
from bench.diagnosis.diagnose import Diagnosis
from bench.diagnosis.evidence import evidence_of
from bench.diagnosis.faults import explains
from bench.diagnosis.telling import telling

__all__ = ["Suspects"]

# A fault less probable than this is not told.
_LEAST = 0.001


class Suspects:
    """Faults by falling probability from the steps so far, nothing while none of them tells anything.

    Costs as much as a diagnosis where a step is new that it weighs (some 50 to 150 ms), else next to nothing.
    """

    def __init__(self, diagnosis: Diagnosis) -> None:
        self._diagnosis = diagnosis

    def __call__(self, steps: tuple[StepResult, ...]) -> tuple[Suspicion, ...]:
        if not self._diagnosis.has_something_to_weigh(steps):
            return ()
        return tuple(
            Suspicion(one.fault, one.winding, one.size, probability, explains(one.fault, one.winding, one.size))
            for one, probability in self._diagnosis.likely(steps)
            if one.fault != "none" and probability >= _LEAST
        )

    def as_designed(self, steps: tuple[StepResult, ...]) -> bool:
        """Whether no fault explains the readings clearly better than none; costs next to nothing.

        The squares of their deviations over their standard uncertainties add up to less than 1: a fault is then better
        than none by no more than the root of e, 1.65, and before any reading the dangerous ones are six times rarer
        than a good unit.  It spares a plan, which walks an ideal unit, the time of some diagnoses.
        """
        squares = 0.0
        for step in telling(steps):
            if step.verdict not in (Verdict.ACCEPTED, Verdict.NOT_DONE):
                return False
            if len(evidence_of((step,))) == 0 or step.measured == step.expected:
                continue
            if step.measured is None or step.expected is None or step.u <= 0:
                return False
            squares += ((step.measured - step.expected) / step.u) ** 2
        return squares < 1.0
