"""The kinds of steps of an acceptance test, a module each.

A kind is a module with `ABOUT`, `plan(context)` and `run(context)`; a procedure file says which of them a test takes,
and in which order.
"""

from types import ModuleType

from bench.acceptance.steps import (
    compare,
    conditions,
    core_watts,
    earth_bond,
    earthed,
    exciting,
    first_power,
    heat_run,
    hipot,
    insulation,
    leave,
    load,
    look,
    low_volts,
    low_watts,
    open_circuit,
    polarity,
    refit,
    resistance,
    screen,
    set_insulation,
    set_leakage,
    soak,
    stray_field,
    sums,
)

__all__ = ["KINDS"]

KINDS: dict[str, ModuleType] = {
    "conditions": conditions,
    "look": look,
    "resistance": resistance,
    "insulation": insulation,
    "low_volts": low_volts,
    "polarity": polarity,
    "sums": sums,
    "screen": screen,
    "low_watts": low_watts,
    "earthed": earthed,
    "first_power": first_power,
    "exciting": exciting,
    "core_watts": core_watts,
    "open_circuit": open_circuit,
    "hipot": hipot,
    "soak": soak,
    "load": load,
    "compare": compare,
    "heat_run": heat_run,
    "refit": refit,
    "earth_bond": earth_bond,
    "set_insulation": set_insulation,
    "set_leakage": set_leakage,
    "stray_field": stray_field,
    "leave": leave,
}
