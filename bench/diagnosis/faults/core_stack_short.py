"""Laminations are missing: less steel for the same flux."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.diagnosis.sizes import even_shares
from bench.job.expectation import Variant

NAME = "core_stack_short"
CHECK = "unplugged: height of the stack by a rule, and the laminations left over"
REMEDY = "feed it with fewer volts, or unplugged and discharged: put the missing laminations in"
_SHORT = (0.035, 0.045, 0.055, 0.07, 0.09, 0.11, 0.13, 0.145)
_SHARES = even_shares(_SHORT, 0.03, 0.15)


def explains(winding: str, size: str) -> str:
    return f"the stack is about {size} short"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for short, share in zip(_SHORT, _SHARES, strict=True):
        yield Hypothesis(NAME, size=f"{short * 100:.0f} %", variant=Variant(stack_factor=1 - short), share=share)
