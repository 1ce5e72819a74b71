"""How many volts to put in at a low-voltage step, so that the meter's ranges tell most and no terminal passes 25 V."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from decimal import ROUND_FLOOR, Decimal

__all__ = ["best_feed_volts", "settable"]

_FILL = 0.9
_LEAST_VOLTS = 1.0


def best_feed_volts(
    most_volts: float,
    ratios: Iterable[tuple[float, float]],
    ranges: Sequence[float],
    range_error: float,
    lost_in_the_unit: Callable[[float], float],
) -> float:
    """Volts on the fed winding, at most `most_volts`, at which the worst winding's ratio is read best.

    ratios: for each winding its turns over the fed one's, and the tolerance that its ratio is judged by;  ranges: the
    meter's AC ranges [V];  range_error: its error as a fraction of the range;  lost_in_the_unit: by volts, the fraction
    that the unit itself may falsify a ratio by.  Two readings on one range share the meter's error, which then cancels
    as far as they are alike.  Raises ValueError for no volts at all.
    """
    if most_volts <= 0:
        raise ValueError(f"{most_volts:g} V to feed, expected more than 0")
    pairs = list(ratios)
    fills = [_FILL * span / share for span in ranges for share, _ in [(1.0, 1.0), *pairs] if share > 0]
    candidates = {settable(volts) for volts in (most_volts, *fills) if _LEAST_VOLTS <= volts <= most_volts}

    def worst(volts: float) -> float:
        """The largest share of its tolerance that any winding's ratio loses."""
        lost = lost_in_the_unit(volts)
        return max(
            ((range_error * _ranges_lost(volts, share, ranges) + lost) / tol for share, tol in pairs), default=0.0
        )

    return min(sorted(candidates) or [settable(most_volts)], key=lambda volts: (worst(volts), -volts))


def settable(volts: float) -> float:
    """Volts [V] > 0 down to two digits, as a source's scale is set."""
    exact = Decimal(repr(volts))
    return float(exact.quantize(Decimal((0, (1,), exact.adjusted() - 1)), ROUND_FLOOR))


def _ranges_lost(volts: float, share: float, ranges: Sequence[float]) -> float:
    """By how many times its error of range a meter falsifies the ratio of share x volts to volts."""
    reading, span, fed_range = volts * share, _range(volts * share, ranges), _range(volts, ranges)
    if span == fed_range:
        return span * abs(1 / reading - 1 / volts)
    # On two ranges the gain is no longer common: it counts as much as the offset at full scale.
    return span / reading + fed_range / volts + 1.0


def _range(volts: float, ranges: Sequence[float]) -> float:
    """The smallest range that holds a reading with the allowance that a variac's scale needs."""
    return min((span for span in ranges if volts <= 0.96 * span), default=max(ranges, default=volts))
