"""Strands in hand, each by itself before they are joined, against each other: they should be one as the other."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bench.design.plan import PlannedWinding
from bench.estimate import Estimate
from bench.job.wire import conductor_tolerance
from bench.winding.check_values import COVERAGE, Conclusion, Counted

__all__ = ["StrandsAnswer", "check_strands"]

_U_LOG_SIDE_BY_SIDE = 0.003
"""Strands that lie side by side take the same way; what is left is the wire along its reel (common practice, no
source)."""


@dataclass(frozen=True)
class StrandsAnswer:
    """ohms of each strand;  least, most: their numbers from 1;  difference: of most over least, as a fraction, and u;
    turns: that a difference as large would be;  conclusion."""

    winding: str
    ohms: tuple[float, ...]
    least: int
    most: int
    difference: float
    u: float
    turns: float
    one_reel: bool
    conclusion: Conclusion

    def as_body(self) -> dict[str, Any]:
        return {
            "check": "strands",
            "winding": self.winding,
            "ohms": list(self.ohms),
            "least": self.least,
            "most": self.most,
            "difference": self.difference,
            "u": self.u,
            "turns": self.turns,
            "one_reel": self.one_reel,
            "conclusion": self.conclusion.value,
        }


def check_strands(
    planned: PlannedWinding, strands: Sequence[Estimate], counted: Counted, *, batches: Sequence[str] = ()
) -> StrandsAnswer:
    """Whether the ohms of the strands are the same, as far as meter and wire let one tell.

    strands: ohms of each, leads taken off;  batches: of the reel of each, from one reel where they are one and the same
    name.  Read with one meter on one range its gain leaves with the ratio.  Can't tell where the doubt is more than a
    turn's worth and a tenth of the ohms.  Raises ValueError for another number of strands than the job has.
    """
    due = planned.winding.strands
    if due < 2 or len(strands) != due:
        raise ValueError(f"ohms of {len(strands)} strands of {planned.name}, expected one for each of its {due}")
    if any(not one.value > 0 for one in strands):
        raise ValueError(f"ohms of a strand of {planned.name} are not more than 0: taken off too much for the leads?")
    values = [one.value for one in strands]
    least, most = values.index(min(values)), values.index(max(values))
    if least == most:
        least, most = 0, 1
    ratio = strands[most] / strands[least]
    one_reel = len(batches) == due and bool(batches[0]) and len(set(batches)) == 1
    u = math.hypot(ratio.relative, _u_wire(planned) if not one_reel else math.sqrt(2) * _U_LOG_SIDE_BY_SIDE)
    difference = math.log(ratio.value)
    conclusion = Conclusion.AGREES
    # The widest of several pairs is wider by chance than one pair taken at random: Bonferroni by the number of pairs.
    pairs = due * (due - 1) / 2
    if difference > _quantile(pairs) * u:
        conclusion = Conclusion.DISAGREES
    elif COVERAGE * u > max(0.1, 1 / counted.turns):
        conclusion = Conclusion.CANT_TELL
    return StrandsAnswer(
        planned.name,
        tuple(values),
        least + 1,
        most + 1,
        math.expm1(difference),
        u,
        counted.turns * math.expm1(difference),
        one_reel,
        conclusion,
    )


def _u_wire(planned: PlannedWinding) -> float:
    """Two reels may differ by the tolerance of the diameter, each by itself."""
    wire = planned.winding.wire
    assert wire is not None
    try:
        u_area = 2 * conductor_tolerance(wire.diameter) / wire.diameter / math.sqrt(3.0)
    except ValueError:
        u_area = 0.10 / math.sqrt(3.0)
    return math.sqrt(2) * math.hypot(u_area, _U_LOG_SIDE_BY_SIDE)


def _quantile(pairs: float) -> float:
    """k for one pair is 2; for more, so much that together they are called as seldom (from a normal table)."""
    table: Mapping[float, float] = {1: 2.0, 3: 2.42, 6: 2.67}
    return table.get(pairs, 3.0)
