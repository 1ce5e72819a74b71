"""Nothing is wrong with the unit."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "none"
CHECK = "nothing"
REMEDY = "nothing"


def explains(winding: str, size: str) -> str:
    return "nothing is wrong"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    yield Hypothesis(NAME)
