"""Two looks at the same turns: what the reading at a few volts could not tell, the sharper one at nominal does."""

from __future__ import annotations

from dataclasses import replace

from bench.acceptance.decision import COVERAGE, Verdict
from bench.acceptance.result import StepResult

__all__ = ["settle_by_the_sharper_look"]


def settle_by_the_sharper_look(results: tuple[StepResult, ...]) -> tuple[StepResult, ...]:
    """A ratio left undecided at a few volts is accepted where the turns at nominal are, within limits no wider.

    Both steps judge one quantity. What lies within the narrower limits lies within the wider ones, so that "this meter
    can't tell" holds no longer; a rejection is never settled, and a rejected or undecided sharper look settles nothing.
    """
    by_id = {result.id: result for result in results}
    return tuple(_settled(result, by_id.get(result.id.replace("ratio:", "turns:", 1))) for result in results)


def _settled(rough: StepResult, sharp: StepResult | None) -> StepResult:
    if sharp is None or not rough.id.startswith("ratio:"):
        return rough
    if (rough.verdict, sharp.verdict) != (Verdict.UNDECIDED, Verdict.ACCEPTED) or not _within(sharp, rough):
        return rough
    assert sharp.measured is not None
    note = (
        f"not told at a few volts (+-{COVERAGE * rough.u:.3g} turns); {sharp.measured:.5g} +-{COVERAGE * sharp.u:.2g} "
        "turns at nominal settle it"
    )
    return replace(rough, verdict=Verdict.ACCEPTED, probability=sharp.probability, note=note)


def _within(sharp: StepResult, rough: StepResult) -> bool:
    """Whether the sharper look's limits lie inside the other's."""
    if sharp.lower is None or sharp.upper is None or rough.lower is None or rough.upper is None:
        return False
    return rough.lower <= sharp.lower and sharp.upper <= rough.upper
