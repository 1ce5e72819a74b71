"""How many volts to put in at a low-voltage step, so that the meter's ranges tell most and no terminal passes 25 V."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

__all__ = ["best_feed_volts"]

_FILL = 0.9
_LEAST_VOLTS = 1.0


def best_feed_volts(most_volts: float, ratios: Iterable[tuple[float, float]], ranges: Sequence[float]) -> float:
    """Volts on the fed winding, at most `most_volts`, at which the worst winding's ratio is read best.

    ratios: for each winding its turns over the fed one's, and the tolerance that its ratio is judged by;  ranges: the
    meter's AC ranges [V].  A meter's offset counts as range over reading; two readings on one range share it, and it
    cancels as far as they are alike.  Raises ValueError for no volts at all.
    """
    if most_volts <= 0:
        raise ValueError(f"{most_volts:g} V to feed, expected more than 0")
    pairs = list(ratios)
    fills = [_FILL * span / share for span in ranges for share, _ in [(1.0, 1.0), *pairs] if share > 0]
    candidates = [most_volts, *(volts for volts in fills if _LEAST_VOLTS <= volts < most_volts)]
    return min(candidates, key=lambda volts: (_worst(volts, pairs, ranges), -volts))


def _worst(volts: float, pairs: Sequence[tuple[float, float]], ranges: Sequence[float]) -> float:
    """The largest share of its tolerance that any winding's ratio loses to the meter's offset."""
    fed_range = _range(volts, ranges)
    worst = 0.0
    for share, tolerance in pairs:
        reading, span = volts * share, _range(volts * share, ranges)
        # On two ranges the gain is no longer common: it counts as much as the offset at full scale.
        shared, apart = span * abs(1 / reading - 1 / volts), span / reading + fed_range / volts + 1.0
        lost = shared if span == fed_range else apart
        worst = max(worst, lost / tolerance)
    return worst


def _range(volts: float, ranges: Sequence[float]) -> float:
    """The smallest range that holds a reading with the allowance that a variac's scale needs."""
    return min((span for span in ranges if volts <= 0.96 * span), default=max(ranges, default=volts))
