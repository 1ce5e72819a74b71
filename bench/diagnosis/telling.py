"""Which steps of a test a diagnosis weighs: nothing has to be worked out anew for another."""

from __future__ import annotations

from bench.acceptance.decision import Verdict
from bench.acceptance.result import StepResult
from bench.diagnosis.evidence import evidence_of

__all__ = ["telling"]

_SIGNS = ("polarity:", "insulation:", "earthed:", "screen_foil:", "resistance:")
_SIGNS_WHEN_REJECTED = ("hipot:", "first_power")


def telling(steps: tuple[StepResult, ...]) -> tuple[StepResult, ...]:
    """Those with a number that a design foretells, a yes or no, or trouble that is laid to a reading or the supply."""
    ids = {step.id for step in steps}
    return tuple(step for step in steps if _tells(step, ids))


def _tells(step: StepResult, ids: set[str]) -> bool:
    head, _, name = step.id.partition(":")
    if head == "open_circuit" and f"turns:{name}" in ids:
        return step.verdict is Verdict.TROUBLE  # its number is in the turns
    looked = step.quantity == "look" and step.measured is not None  # an inspection that was answered
    if looked or step.verdict is Verdict.TROUBLE or step.id.startswith(_SIGNS):
        return True
    if step.id.startswith(_SIGNS_WHEN_REJECTED):
        return step.verdict is Verdict.REJECTED
    return len(evidence_of((step,))) > 0
