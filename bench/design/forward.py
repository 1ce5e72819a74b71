"""The forward model: the readings that a unit would give if it differed from its design in a stated way."""

from __future__ import annotations

import threading
from dataclasses import fields, replace
from typing import Any

from bench.design.as_drawn import AsDrawn
from bench.design.core_curve import with_loop
from bench.design.expected import NotEnough, expect, needs_for_test
from bench.job.expectation import ExcitingCurve, Expectation, Variant
from bench.job.model import Job

__all__ = ["Forward", "forward_for"]

_FIELDS = tuple(one.name for one in fields(Variant))
# Each step of a test weighs the same few hundred variants anew; a whole diagnosis has some hundreds.
_MOST_KEPT = 4000
_JOBS_KEPT = 4


class Forward:
    """Expected readings of one job for any variant; the exciting curve is worked out once for each core."""

    def __init__(self, job: Job, rules: dict[str, Any], drawn: AsDrawn | None = None) -> None:
        """drawn: of this job, where it is known already."""
        self._job = job
        self._rules = rules
        self._curves: dict[tuple[float, ...], ExcitingCurve | None] = {}
        self._known: dict[tuple[Any, ...], Expectation] = {}
        needs = needs_for_test(job)
        if needs:
            raise NotEnough(needs)
        self._drawn = drawn or AsDrawn(job, rules["assembly"])
        self.design = expect(job, rules, drawn=self._drawn)

    def __call__(self, variant: Variant) -> Expectation:
        """Raises NotEnough as `expect` does."""
        key = _key(variant)
        if key not in self._known:
            if len(self._known) >= _MOST_KEPT:
                self._known.clear()
            self._known[key] = self._work_out(variant)
        return self._known[key]

    def _work_out(self, variant: Variant) -> Expectation:
        found = self._expect(variant, with_curve=False)
        key = (
            found.fed_span.turns,
            variant.joint_added,
            variant.stack_factor,
            variant.field_factor,
            variant.loss_factor,
        )
        if key not in self._curves:
            self._curves[key] = self._expect(replace(variant, loop_conductance=0.0), with_curve=True).curve
        curve = self._curves[key]
        if curve is not None:
            curve = with_loop(curve, abs(found.fed_span.turns), variant.loop_conductance)
        return replace(found, curve=curve)

    def _expect(self, variant: Variant, *, with_curve: bool) -> Expectation:
        return expect(self._job, self._rules, variant, with_curve=with_curve, drawn=self._drawn)


_of_job: dict[str, Forward] = {}
_one_at_a_time = threading.Lock()


def forward_for(job: Job, rules: dict[str, Any]) -> Forward:
    """The one of this job and these rules, with all that it worked out for the tests and diagnoses before: of the last
    few jobs.  Raises NotEnough as `expect` does."""
    key = f"{job!r} {rules!r}"
    with _one_at_a_time:
        found = _of_job.pop(key, None) or Forward(job, rules)
        while len(_of_job) >= _JOBS_KEPT:
            del _of_job[next(iter(_of_job))]
        _of_job[key] = found
    return found


def _key(variant: Variant) -> tuple[Any, ...]:
    return tuple(
        tuple(sorted(value.items())) if isinstance(value, dict) else value
        for value in (getattr(variant, name) for name in _FIELDS)
    )
