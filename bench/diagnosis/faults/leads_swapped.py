"""The leads of two windings are exchanged: each is taken for the other."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "leads_swapped"
CHECK = "resistance of both windings from lead to lead, against the winding sheet"
REMEDY = "unplugged and discharged: mark the leads anew; nothing in the winding is wrong"


def explains(winding: str, size: str) -> str:
    return f"the leads of {winding} are exchanged"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    simple = [one.name for one in case.job.winding if not one.taps and one.name != case.design.fed]
    for pair in itertools.combinations(simple, 2):
        yield Hypothesis(NAME, " and ".join(pair), variant=Variant(swapped=pair))
