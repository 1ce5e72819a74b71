"""Heating and cooling in time: the curves of a body with one time constant."""

from __future__ import annotations

import math

__all__ = ["cooling_time_constant", "final_rise", "rise_after"]


def rise_after(time: float, final: float, time_constant: float, start: float = 0.0) -> float:
    """Rise [K] after `time` [s] under a steady loss: final + (start - final) e^(-t/T).

    final, start [K]; time constant T [s] > 0; `final` is 0 for a unit that cools. Raises ValueError.
    Source: B.L. Theraja, A Textbook of Electrical Technology vol. III, ch. 45.
    """
    if not (time >= 0 and time_constant > 0):
        raise ValueError("time must not be negative and the time constant must be more than 0")
    return final + (start - final) * math.exp(-time / time_constant)


def final_rise(first: float, second: float, interval: float) -> tuple[float, float]:
    """Final rise [K] and time constant [s] from the rises [K] after `interval` and after twice that [s], from cold.

    first^2 / (2 first - second) and interval / ln(first / (second - first)). A doubt of one kelvin in either reading
    is many in the result while the curve is still nearly straight.
    Raises ValueError where the second reading does not lie between the first and twice the first.
    Source: Theraja vol. III ch. 45.
    """
    if not (interval > 0 and 0 < first < second < 2 * first):
        raise ValueError(
            f"rises of {first:g} and {second:g} K are on no heating curve, expected the second between {first:g} and "
            f"{2 * first:g} K"
        )
    return first**2 / (2 * first - second), interval / math.log(first / (second - first))


def cooling_time_constant(start: float, later: float, time: float) -> float:
    """Time constant [s] of a unit whose rise over the air fell from `start` to `later` [K] in `time` [s].

    time / ln(start / later). Raises ValueError.  Source: Theraja vol. III ch. 45.
    """
    if not (time > 0 and 0 < later < start):
        raise ValueError(f"a rise from {start:g} to {later:g} K is no cooling, expected it to fall and stay above 0 K")
    return time / math.log(start / later)
