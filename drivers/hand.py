"""Readings that a person took from any meter and typed."""

from __future__ import annotations

from datetime import datetime

from drivers.accuracy import Accuracy
from drivers.reading import Quantity, Reading, State

__all__ = ["typed_overload", "typed_reading"]


def typed_reading(
    value: float,
    resolution: float,
    quantity: Quantity,
    accuracy: Accuracy,
    *,
    instrument: str = "hand",
    at: datetime,
    monotonic: float,
    span: float | None = None,
    raw: str = "",
) -> Reading:
    """A typed value with the components that the meter's accuracy gives it.

    value and resolution (the worth of the last digit typed) in SI. Without a known `span` the place of
    the last digit stands for the range: readings typed to the same place share their gain and offset.
    Two readings need different `at` or `monotonic`, their rounding is told apart by it.
    """
    place = f"{span:g}" if span is not None else f"to{resolution:g}"
    return Reading(
        quantity=quantity,
        value=value,
        state=State.GOOD,
        instrument=instrument,
        at=at,
        monotonic=monotonic,
        raw=raw or f"{value!r}",
        components=accuracy.components(
            value,
            resolution=resolution,
            span=span,
            shared=f"{instrument}:{quantity}:{place}",
            own=f"{instrument}:{quantity}:{at.isoformat()}:{monotonic!r}",
        ),
        span=span,
    )


def typed_overload(
    quantity: Quantity, *, instrument: str = "hand", at: datetime, monotonic: float, raw: str = "OL"
) -> Reading:
    """The meter showed over range: a state, no number."""
    return Reading(quantity, None, State.OVERLOAD, instrument, at, monotonic, raw)
