"""A joint of a winding has ohms of its own."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "joint_poor"
CHECK = "unplugged: ohms again with the clip on the wire itself, behind the joint"
REMEDY = "clean and solder the joint anew before varnish"
# Of ln(ohms with the joint / without) from 5 to 100 % of the winding more, each share alike; of one half, twice that.
_MEAN, _DEVIATION = 0.45, 0.30


def explains(winding: str, size: str) -> str:
    return f"a joint of {winding} has ohms of its own"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Its ohms are what the reading shows: from a twentieth of the winding's own to as much again."""
    for span in case.design.spans.values():
        tapped = any(one.winding == span.winding and not one.whole for one in case.design.spans.values())
        if span.resistance is None or (span.whole and tapped):
            continue
        yield Hypothesis(NAME, span.name, excess={span.name: (_MEAN, _DEVIATION)})
