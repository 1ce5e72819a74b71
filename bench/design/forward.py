"""The forward model: the readings that a unit would give if it differed from its design in a stated way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from bench.design.expected import expect
from bench.job.expectation import ExcitingCurve, Expectation, Variant
from bench.job.model import Job

__all__ = ["Forward"]


class Forward:
    """Expected readings of one job for any variant; the exciting curve is worked out once for each core."""

    def __init__(self, job: Job, rules: dict[str, Any]) -> None:
        self._job = job
        self._rules = rules
        self._curves: dict[tuple[float, ...], ExcitingCurve | None] = {}
        self.design = expect(job, rules)

    def __call__(self, variant: Variant) -> Expectation:
        """Raises NotEnough as `expect` does."""
        added = variant.turns_added.get(self.design.fed, 0.0)
        key = (added, variant.joint_added, variant.stack_factor, variant.loop_conductance)
        if key not in self._curves:
            self._curves[key] = expect(self._job, self._rules, variant).curve
        return replace(expect(self._job, self._rules, variant, with_curve=False), curve=self._curves[key])
