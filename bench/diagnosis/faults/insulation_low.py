"""Two bodies that must not touch nearly do, or are damp."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from bench.acceptance.decision import Verdict
from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "insulation_low"
CHECK = "dry the unit warm for some hours, let it cool and read again: moisture mends, a touch does not"
REMEDY = "unplugged and discharged: dry it; if it stays low, strip to the place where they touch"


def explains(winding: str, size: str) -> str:
    return f"insulation of {winding} is low"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Each body to all the rest; and pairs that were read by themselves and are low."""
    bodies = [one.name for one in case.job.winding] + [one.name for one in case.job.screen]
    for name in bodies:
        yield Hypothesis(NAME, name, low_insulation=name)
    low = {step.id for step in case.steps if step.verdict is Verdict.REJECTED}
    for one, other in itertools.product(bodies, [*bodies, "core"]):
        if f"insulation:{one}-{other}" in low:
            yield Hypothesis(NAME, f"{one} to {other}", low_insulation=one, other_side=other)
