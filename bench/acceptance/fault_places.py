"""Where each of two faults sits that are named together: `turns_wrong+core_gap` of `heater`."""

from __future__ import annotations

__all__ = ["places"]

_OF_NO_WINDING = frozenset(
    {
        "none",
        "unknown",
        "core_gap",
        "core_stack_short",
        "core_steel_degraded",
        "laminations_bridged",
        "supply_wrong",
    }
)


def places(fault: str, winding: str) -> tuple[tuple[str, str], ...]:
    """(fault, place) of each fault that a finding names; the place is empty for a fault of the core or the supply."""
    named = iter(winding.split(" + "))
    return tuple((one, "" if one in _OF_NO_WINDING else next(named, "")) for one in fault.split("+"))
