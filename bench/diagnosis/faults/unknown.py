"""None of the known faults explains the readings."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "unknown"
CHECK = "start again at the resistances"
REMEDY = "no advice beyond taking the test again"


def explains(winding: str, size: str) -> str:
    return "none of the known faults explains these readings"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    yield Hypothesis(NAME)
