"""The supply has another frequency or wave than the job says."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "supply_wrong"
CHECK = "frequency and wave of the supply, from another outlet"
REMEDY = "none: test it again on the right supply"


def explains(winding: str, size: str) -> str:
    return "the supply is not what the job says"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    yield Hypothesis(NAME, misread="supply")
