"""Sizes of a fault that stand for all between them, where every size of a range is met alike."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

__all__ = ["Parts", "even_shares", "shares_by"]

Parts = Sequence[tuple[float, float]]
"""(up to this size, share of all that lie between the one before and it); from zero on, the shares add up to one."""


def even_shares(sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Of all from low to high, the share that lies nearest to each of `sizes` (rising); they add up to one.

    A grid is close where the readings tell sizes apart, and wide where they do not: each takes its share of the prior,
    or the close ones would count too often.
    """
    ends = [low, *((a + b) / 2 for a, b in itertools.pairwise(sizes)), high]
    return [max(0.0, after - before) / (high - low) for before, after in itertools.pairwise(ends)]


def shares_by(sizes: Sequence[float], parts: Parts) -> list[float]:
    """The same where small sizes are met more often than large ones, or less: within a part every size alike."""
    ends = [0.0, *((a + b) / 2 for a, b in itertools.pairwise(sizes)), parts[-1][0]]
    below = [_below(end, parts) for end in ends]
    return [after - before for before, after in itertools.pairwise(below)]


def _below(size: float, parts: Parts) -> float:
    total, begin = 0.0, 0.0
    for end, share in parts:
        if size <= end:
            return total + share * max(0.0, size - begin) / (end - begin)
        total, begin = total + share, end
    return total
