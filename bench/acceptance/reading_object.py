"""A reading as it is stored and printed, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from drivers.reading import Component, Quantity, Reading, State

__all__ = ["reading_from", "reading_object"]


def reading_object(reading: Reading) -> dict[str, Any]:
    """A reading as it is stored and printed."""
    return {
        "schema": 1,
        "quantity": str(reading.quantity),
        "value": reading.value,
        "unit": reading.unit,
        "state": str(reading.state),
        "components": [asdict(component) for component in reading.components],
        "instrument": reading.instrument,
        "at": reading.at.isoformat(),
        "monotonic": reading.monotonic,
        "span": reading.span,
        "raw": reading.raw,
    }


def reading_from(body: Mapping[str, Any]) -> Reading:
    """A reading as it was stored; raises ValueError or KeyError for what is none."""
    return Reading(
        quantity=Quantity(body["quantity"]),
        value=None if body["value"] is None else float(body["value"]),
        state=State(body["state"]),
        instrument=str(body["instrument"]),
        at=datetime.fromisoformat(body["at"]),
        monotonic=float(body["monotonic"]),
        raw=str(body["raw"]),
        components=tuple(Component(**one) for one in body["components"]),
        span=None if body["span"] is None else float(body["span"]),
    )
