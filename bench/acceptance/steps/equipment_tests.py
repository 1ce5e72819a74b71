"""Class of the equipment, and what its three safety steps share."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from bench.acceptance.context import Context
from bench.acceptance.requests import Enter, Request, Trouble
from bench.estimate import Estimate
from bench.quantities import Typed
from drivers.reading import Quantity

__all__ = ["earthed", "read_on_tester"]

_CLASSES = {"i": True, "1": True, "one": True, "ii": False, "2": False, "two": False}


def earthed(context: Context, step: str) -> Generator[Request, Any, bool]:
    """Whether the equipment is of class I, with an earth; the job says, or is asked once."""
    if context.job.targets.safety_class:
        return context.job.targets.safety_class == "I"
    known: bool | None = context.class_one
    if known is not None:
        return known
    text = "Class of the equipment: I, with an earth wire, or II, double insulated and without one?"
    note = ""
    for _ in range(5):
        answer = str((yield Enter(step, Quantity.EQUIPMENT_CLASS, note + text, "I or II"))).strip()
        found = _CLASSES.get(answer.lower().removeprefix("class").strip())
        if found is not None:
            context.class_one = found
            return found
        note = f"{answer[:40]!r}: expected I or II. "
    raise Trouble(f"{step}: no class of equipment in 5 attempts")


def read_on_tester(step: str, typed: Typed, error: float) -> Estimate:
    """A value typed off a tester [SI].  error: half width of the tester's own, as a fraction of the reading."""
    return Estimate(
        typed.value, {f"{step}:tester": error / 3**0.5 * typed.value, f"{step}:digit": typed.resolution / 12**0.5}
    )
