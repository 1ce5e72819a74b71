"""The normal distribution's share, without the half second that a library of statistics takes to come up."""

from __future__ import annotations

import math

__all__ = ["share_below"]


def share_below(z: float) -> float:
    """Of a standard normal distribution the share below z, which may be infinite: erfc(-z / sqrt 2) / 2."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))
