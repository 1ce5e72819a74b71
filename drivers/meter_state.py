"""How it stands between us and a meter, for whoever shows it."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["MeterState"]


class MeterState(StrEnum):
    """OUT_OF_STEP and DISCONNECTED end by themselves at the next reading, if the meter lets them."""

    CLOSED = "closed"
    IN_STEP = "in step"
    OUT_OF_STEP = "out of step"
    DISCONNECTED = "disconnected"
