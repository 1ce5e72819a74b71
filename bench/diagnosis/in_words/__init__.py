"""What the readings say together, in the plain sentences of somebody who has seen many such units."""

from __future__ import annotations

from bench.acceptance.fault_places import places
from bench.acceptance.result import StepResult
from bench.diagnosis.in_words import copper, core, signs, turns
from bench.diagnosis.in_words.seen import Said, Seen
from bench.job.expectation import Expectation
from bench.job.model import Job

__all__ = ["in_words", "patterns"]


def patterns(job: Job, design: Expectation, steps: tuple[StepResult, ...]) -> tuple[Said, ...]:
    """All patterns that stand out of the readings, each as one sentence with the fault and place that it speaks of.

    design: what a good unit of the job reads.  A unit whose readings all lie within their doubt has none.
    """
    seen = Seen(job, design, steps)
    return tuple(said for of in (turns, copper, core, signs) for said in of.patterns(seen))


def in_words(job: Job, design: Expectation, steps: tuple[StepResult, ...], fault: str, winding: str) -> tuple[str, ...]:
    """The sentences that speak for one finding, each once; none where no pattern of it stands out."""
    found = [
        said.sentence
        for single, place in places(fault, winding)
        for said in patterns(job, design, steps)
        if said.fault == single and said.is_of(place)
    ]
    return tuple(dict.fromkeys(found))
