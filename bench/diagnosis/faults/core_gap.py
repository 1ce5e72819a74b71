"""The laminations of the joint do not touch: air in the flux's way."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis
from bench.job.expectation import Variant

NAME = "core_gap"
CHECK = "unplugged: tap the laminations home and clamp; then the exciting current at half the volts again"
REMEDY = "unplugged and discharged: restack one by one, laminations pushed home, and clamp"
# From more air than any stack has of itself to a joint that gapes [m]: the middles of even parts of the logarithm.
_LEAST, _MOST, _PARTS = 0.01e-3, 0.25e-3, 16
_GAPS = tuple(_LEAST * (_MOST / _LEAST) ** ((part + 0.5) / _PARTS) for part in range(_PARTS))


def explains(winding: str, size: str) -> str:
    return f"a gap in the core's joints, about {size}"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    for gap in _GAPS:
        yield Hypothesis(NAME, size=f"{gap * 1e3:.2g} mm", variant=Variant(joint_added=gap))
