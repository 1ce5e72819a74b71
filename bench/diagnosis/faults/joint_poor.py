"""A joint of a winding has ohms of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "joint_poor"
CHECK = "unplugged: ohms again with the clip on the wire itself, behind the joint"
REMEDY = "unplugged and discharged: clean and solder the joint anew before varnish"
# Of the winding's own ohms, from a twentieth to as much again, each size alike: the middles of four parts of it.
_LEAST, _MOST, _PARTS = 0.05, 1.0, 4
_PART = (_MOST - _LEAST) / _PARTS
_MORE = tuple(_LEAST + _PART * (place + 0.5) for place in range(_PARTS))
# A joint may as well have many times that: share of all joints, middle and standard deviation of ln(1 + more).
_FAR_SHARE, _FAR_MIDDLE, _FAR_DEVIATION = 0.05, 1.6, 0.6


def explains(winding: str, size: str) -> str:
    return f"a joint of {winding} has ohms of its own"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Its ohms are what the reading shows: from a twentieth of the whole winding's own to as much again.

    A joint sits in one section of a winding with taps, and is then far more of that one's ohms.
    """
    names = []
    for span in case.design.spans.values():
        tapped = any(one.winding == span.winding and not one.whole for one in case.design.spans.values())
        if span.resistance is not None and not (span.whole and tapped):
            names.append(span.name)
    for name in names:
        span = case.design.spans[name]
        whole = case.design.spans[span.winding].resistance or 0.0
        over = whole / (span.resistance or whole)
        for more in _MORE:
            # Within its part every size is alike: of ln(1 + over more) a rectangle, as wide as over part / (1 + ...).
            deviation = over * _PART / (1 + over * more) / math.sqrt(12)
            yield _of(
                name, f"{more * 100:.0f} %", math.log(1 + over * more), deviation, (1 - _FAR_SHARE) / _PARTS, names
            )
        yield _of(name, "several times its ohms", _FAR_MIDDLE, _FAR_DEVIATION, _FAR_SHARE, names)


def _of(name: str, size: str, mean: float, deviation: float, share: float, names: list[str]) -> Hypothesis:
    return Hypothesis(NAME, name, size, excess={name: (mean, deviation)}, share=share / len(names))
