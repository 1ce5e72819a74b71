"""Few ohms between two terminals of a dead unit: which function reads them, on which range."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.requests import Connect, Request, Skipped
from drivers.reading import Quantity, Reading, State

__all__ = ["ohmmeter", "read_ohms"]


def ohmmeter(context: Context) -> Quantity:
    """Four wires where the meter has them."""
    return Quantity.RESISTANCE_4W if Quantity.RESISTANCE_4W in context.equipment.quantities else Quantity.RESISTANCE


def read_ohms(context: Context, place: Connect) -> Generator[Request, Any, Reading]:
    """One reading on a dead unit; past the range that was chosen, once more on whatever range holds it.

    Raises Skipped where the meter reads no ohms.
    """
    if place.quantity not in context.equipment.quantities:
        raise Skipped("this meter does not read ohms")
    yield from context.switch_off(place.step)
    yield from context.connect(place)
    reading = yield from context.take(place.step, place.quantity, place.expected)
    if reading.state is State.OVERLOAD:
        reading = yield from context.take(place.step, place.quantity, None)
    return reading
