"""The faults that are weighed, one file each; a new one is a new file and its name here."""

from __future__ import annotations

from collections.abc import Iterator

from bench.diagnosis.faults import (
    core_gap,
    core_stack_short,
    core_steel_degraded,
    insulation_low,
    joint_poor,
    laminations_bridged,
    leads_swapped,
    none,
    reading_wrong,
    screen_closed,
    screen_unearthed,
    strand_open,
    strands_unequal,
    supply_wrong,
    tap_misplaced,
    turns_shorted,
    turns_wrong,
    unknown,
    winding_open,
    winding_reversed,
    wire_wrong,
)
from bench.diagnosis.hypothesis import Case, Fault, Hypothesis

__all__ = ["FAULTS", "explains", "hypotheses"]

FAULTS: dict[str, Fault] = {
    fault.NAME: fault
    for fault in (
        none,
        unknown,
        turns_wrong,
        turns_shorted,
        winding_reversed,
        leads_swapped,
        winding_open,
        strand_open,
        strands_unequal,
        joint_poor,
        tap_misplaced,
        wire_wrong,
        core_gap,
        core_stack_short,
        core_steel_degraded,
        laminations_bridged,
        screen_closed,
        screen_unearthed,
        insulation_low,
        reading_wrong,
        supply_wrong,
    )
}
"""All faults by name, `none` and `unknown` among them."""


def hypotheses(case: Case) -> Iterator[Hypothesis]:
    """All hypotheses worth weighing for these readings."""
    for fault in FAULTS.values():
        yield from fault.hypotheses(case)


def explains(fault: str, winding: str, size: str) -> str:
    """A fault in one sentence; two at once in one each."""
    names = fault.split("+")
    if len(names) == 1:
        return FAULTS[fault].explains(winding, size)
    return f"two faults at once: {' and '.join(names).replace('_', ' ')} ({', '.join(filter(None, (winding, size)))})"
