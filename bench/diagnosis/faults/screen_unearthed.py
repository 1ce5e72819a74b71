"""The earth lead does not reach the screen."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "screen_unearthed"
CHECK = (
    "unplugged: ohms from the earth lead to the screen's other end, where that is out; else the lead's "
    "joint to the foil, by eye"
)
REMEDY = "unplugged and discharged: remake the joint of lead and foil, or of lead and earth, before anything is fed"


def explains(winding: str, size: str) -> str:
    return f"{winding} is not joined to earth"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for screen in case.job.screen:
        yield Hypothesis(NAME, screen.name, unearthed=screen.name)
