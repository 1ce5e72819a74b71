"""A reading was taken on other terminals, on another range, or written down wrongly: the commonest of all."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "reading_wrong"
CHECK = "put the leads on anew and take the same reading again"
REMEDY = "none: the unit may be good; test it again"


def explains(winding: str, size: str) -> str:
    return f"a reading of {winding} was taken wrongly"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for winding in case.job.winding:
        yield Hypothesis(NAME, winding.name, misread=winding.name)
