"""A joint of a winding has ohms of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator

from bench.diagnosis.hypothesis import Case, Hypothesis

NAME = "joint_poor"
CHECK = "unplugged: ohms again with the clip on the wire itself, behind the joint"
REMEDY = "unplugged and discharged: clean and solder the joint anew before varnish"
# Of the winding's own ohms, from a twentieth to as much again, each size alike: the middles of six parts of that range.
_LEAST, _MOST, _PARTS = 0.05, 1.0, 6
_PART = (_MOST - _LEAST) / _PARTS
_MORE = tuple(_LEAST + _PART * (place + 0.5) for place in range(_PARTS))


def explains(winding: str, size: str) -> str:
    return f"a joint of {winding} has ohms of its own"


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """Its ohms are what the reading shows: from a twentieth of the winding's own to as much again."""
    names = []
    for span in case.design.spans.values():
        tapped = any(one.winding == span.winding and not one.whole for one in case.design.spans.values())
        if span.resistance is not None and not (span.whole and tapped):
            names.append(span.name)
    for name in names:
        for more in _MORE:
            # Within its part every size is alike: of ln(1 + more) a rectangle, as wide as part / (1 + more).
            deviation = _PART / (1 + more) / math.sqrt(12)
            yield Hypothesis(NAME, name, f"{more * 100:.0f} %", excess={name: (math.log(1 + more), deviation)})
