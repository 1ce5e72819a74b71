"""The kinds of steps of an acceptance test, a module each.

A kind is a module with `ABOUT`, `plan(context)` and `run(context)`; a procedure file says which of them a test takes,
and in which order.
"""

from types import ModuleType

from bench.acceptance.steps import (
    conditions,
    core_watts,
    exciting,
    first_power,
    insulation,
    low_volts,
    open_circuit,
    polarity,
    resistance,
)

__all__ = ["KINDS"]

KINDS: dict[str, ModuleType] = {
    "conditions": conditions,
    "resistance": resistance,
    "insulation": insulation,
    "low_volts": low_volts,
    "polarity": polarity,
    "first_power": first_power,
    "exciting": exciting,
    "core_watts": core_watts,
    "open_circuit": open_circuit,
}
