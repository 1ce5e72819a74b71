"""The ladder of a finding: rungs from the least work to the most, of two faults one ladder after the other."""

from __future__ import annotations

from collections.abc import Callable

from bench.acceptance.result import BESIDES, OR_ELSE, StepResult
from bench.diagnosis.faults import FAULTS
from bench.diagnosis.hypothesis import Hypothesis
from bench.diagnosis.remedies import (
    core_gap,
    core_stack_short,
    joint_poor,
    strand_open,
    tap_misplaced,
    turns_shorted,
    turns_wrong,
    wire_wrong,
)
from bench.diagnosis.remedies.unit import Unit
from bench.job.expectation import Expectation, Variant
from bench.job.model import Job

__all__ = ["ladder"]

Rungs = Callable[[Unit, str], tuple[str, ...]]

_RUNGS: dict[str, Rungs] = {
    "turns_wrong": turns_wrong.rungs,
    "tap_misplaced": tap_misplaced.rungs,
    "turns_shorted": turns_shorted.rungs,
    "core_gap": core_gap.rungs,
    "core_stack_short": core_stack_short.rungs,
    "wire_wrong": wire_wrong.rungs,
    "joint_poor": joint_poor.rungs,
    "strand_open": strand_open.rungs,
}
"""Faults whose remedies have a price in volts or watts; of all others their REMEDY is the ladder's one rung."""


def ladder(
    job: Job, hypothesis: Hypothesis, steps: tuple[StepResult, ...], forward: Callable[[Variant], Expectation]
) -> str:
    """What can be done about it, as `Finding.remedy` holds it; `Finding.rungs` takes it apart."""
    return BESIDES.join(
        OR_ELSE.join(_of(one.fault, Unit(job, one.variant, forward, steps), one.winding))
        for one in hypothesis.parts or (hypothesis,)
    )


def _of(fault: str, unit: Unit, place: str) -> tuple[str, ...]:
    rungs = _RUNGS.get(fault)
    return (rungs(unit, place) if rungs is not None else ()) or (FAULTS[fault].REMEDY,)
