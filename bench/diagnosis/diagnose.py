"""From the steps of a test to findings with probabilities, and the check that would tell most."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from bench.acceptance.decision import Verdict
from bench.acceptance.result import Finding, NextStep, NotDone, StepResult
from bench.diagnosis.evidence_for import speaks_against, speaks_for, told
from bench.diagnosis.faults import FAULTS, explains
from bench.diagnosis.further import Further, most_worth
from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.in_words import in_words
from bench.diagnosis.looks import looked
from bench.diagnosis.posterior import Weighed, weigh
from bench.diagnosis.prediction import Unexplained
from bench.diagnosis.remedies import ladder
from bench.diagnosis.telling import telling
from bench.job.expectation import GOOD, Expectation, Variant
from bench.job.model import Job

__all__ = ["Diagnosis"]

_WORTH_SAYING = 0.10
_OF_READINGS = ("reading_wrong", "unknown")
_MOST = 6
# Of a finding that needs no further measurement.
_SETTLED = 0.95


class Diagnosis:
    """Weighs all hypotheses against a test's steps; `forward` gives the readings that a variant would produce."""

    def __init__(self, job: Job, rules: dict[str, Any], forward: Callable[[Variant], Expectation]) -> None:
        self._job = job
        self._priors: dict[str, float] = rules["priors"]
        self._unexplained = Unexplained(
            **{name: value for name, value in rules["unexplained"].items() if name != "source"}
        )
        self._contacts = {fault: tuple(map(tuple, parts)) for fault, parts in rules["contacts"]["ohm"].items()}
        self._forward = forward
        self._last: tuple[tuple[StepResult, ...], list[Weighed]] | None = None

    def __call__(
        self, steps: tuple[StepResult, ...], not_done: tuple[NotDone, ...], least: float = _WORTH_SAYING
    ) -> tuple[tuple[Finding, ...], NextStep | None]:
        """Findings by falling probability, and what to check next; nothing while nothing was measured.

        least: probability from which a finding is worth saying.
        """
        if not self.has_something_to_weigh(steps):
            return (), None
        weighed = self.posterior(steps)
        merged = self.likely(steps)
        findings = tuple(
            self._finding(best, probability, steps)
            for best, probability in merged
            if best.fault != "none" and probability >= least
        )[:_MOST]
        return findings, self._following(steps, weighed, findings) if findings else None

    def _following(
        self, steps: tuple[StepResult, ...], weighed: list[tuple[Hypothesis, float]], findings: tuple[Finding, ...]
    ) -> NextStep | None:
        """The measurement that tells most for its cost; where none would tell, what settles the likeliest finding.

        Nothing where an advised measurement has settled it already.
        """
        worth = most_worth(self.case(steps), weighed, self._forward)
        if not worth:
            advised = any(step.id.startswith(("search:", "backfed:", "look:")) for step in steps)
            if advised and findings[0].probability >= _SETTLED:
                return None
            return NextStep(findings[0].check, f"it would settle whether {explains_of(findings[0])}")
        best = worth[0]
        apart = _told_apart(best.further, weighed, self._forward)
        why = f"it would tell {apart} ({best.bits:.1f} bit, about {best.further.minutes:.0f} min)"
        return NextStep(best.further.text, why, best.further.answers)

    def speaking(self, steps: tuple[StepResult, ...], fault: str, winding: str) -> tuple[list[str], list[str]]:
        """What speaks for a fault at a place, against a good unit, and what against it: readings in words."""
        weighed = self._weighed(steps)
        good = next(one for one in weighed if one.hypothesis.fault == "none")
        named = [one for one in weighed if (one.hypothesis.fault, one.hypothesis.winding) == (fault, winding)]
        best = max(named, key=lambda one: one.probability)
        looked_for, looked_against = looked(steps, fault, winding)
        if fault in _OF_READINGS:
            # What no unit foretells is what speaks for it.
            return [*speaks_against(good.fit), *looked_for], looked_against
        return [*speaks_for(best.fit, good.fit), *looked_for], [*speaks_against(best.fit), *looked_against]

    def in_words(self, steps: tuple[StepResult, ...], fault: str, winding: str) -> tuple[str, ...]:
        """The plain sentences that the readings make together of a fault at a place; none where none stands out."""
        return in_words(self._job, self._forward(GOOD), steps, fault, winding)

    def has_something_to_weigh(self, steps: tuple[StepResult, ...]) -> bool:
        """Whether anything was measured, or rejected without a number."""
        return any(step.measured is not None or step.verdict is Verdict.REJECTED for step in steps)

    def likely(self, steps: tuple[StepResult, ...]) -> list[tuple[Hypothesis, float]]:
        """Faults and `none` by falling probability, all sizes of one at one place together."""
        return _merge(self.posterior(steps))

    def posterior(self, steps: tuple[StepResult, ...]) -> list[tuple[Hypothesis, float]]:
        """All hypotheses with their probabilities, which add up to one."""
        return [(one.hypothesis, one.probability) for one in self._weighed(steps)]

    def _weighed(self, steps: tuple[StepResult, ...]) -> list[Weighed]:
        """Kept for the steps that were weighed last, and while none comes that is weighed."""
        told = telling(steps)
        if self._last is None or self._last[0] != told:
            self._last = told, weigh(self.case(steps), self._priors, self._unexplained, self._forward)
        return self._last[1]

    def case(self, steps: tuple[StepResult, ...]) -> Case:
        """What these steps are weighed from."""
        return Case(self._job, self._forward(GOOD), steps, self._contacts)

    def _finding(self, best: Hypothesis, probability: float, steps: tuple[StepResult, ...]) -> Finding:
        plain = self.in_words(steps, best.fault, best.winding)
        evidence = [
            told(step)
            for step in steps
            if step.verdict in (Verdict.REJECTED, Verdict.TROUBLE)
            or (step.verdict is Verdict.UNDECIDED and step.probability is not None and step.probability < 0.9)
        ]
        return Finding(
            fault=best.fault,
            winding=best.winding,
            size=best.size,
            probability=probability,
            evidence=(*plain, *evidence[:_MOST]),
            check="; ".join(FAULTS[one].CHECK for one in best.fault.split("+")),
            remedy=ladder(self._job, best, steps, self._forward),
        )


def _told_apart(
    further: Further, weighed: list[tuple[Hypothesis, float]], forward: Callable[[Variant], Expectation]
) -> str:
    """The two likeliest explanations that it shows apart, in words."""
    likely = sorted(weighed, key=lambda one: -one[1])
    first = likely[0][0]
    there = further.outcome(first, forward(first.variant))
    for other, _ in likely[1:]:
        here = further.outcome(other, forward(other.variant))
        elsewhere = (other.fault, other.winding) != (first.fault, first.winding)
        if elsewhere and there is not None and here is not None and further.tells_apart(here, there):
            return f"{_words(first)} from {_words(other)}"
    return f"whether {_words(first)}"


def _words(one: Hypothesis) -> str:
    return explains(one.fault, one.winding, one.size)


def explains_of(finding: Finding) -> str:
    """A finding in one sentence."""
    return explains(finding.fault, finding.winding, finding.size)


def _merge(weighed: list[tuple[Hypothesis, float]]) -> list[tuple[Hypothesis, float]]:
    """Sizes of one fault at one place added up, under the most probable size; most probable first.

    A shorted turn can hardly be told from one in another winding: its places are added up too.
    """
    groups: dict[tuple[str, str], list[tuple[Hypothesis, float]]] = {}
    for hypothesis, probability in weighed:
        place = "" if hypothesis.fault == "turns_shorted" else hypothesis.winding
        groups.setdefault((hypothesis.fault, place), []).append((hypothesis, probability))
    merged = [
        (max(group, key=lambda one: one[1])[0], sum(probability for _, probability in group))
        for group in groups.values()
    ]
    return sorted(merged, key=lambda one: -one[1])
