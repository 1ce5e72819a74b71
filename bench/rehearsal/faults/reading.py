"""Reads the faults that a rehearsed unit shall have, as a person names them."""

from __future__ import annotations

from collections.abc import Callable

from bench.job.model import Job
from bench.rehearsal.faults import around, core, insulation, leads, screens, strands, taps, turns, wire
from bench.rehearsal.faults.model import Fault, FaultName
from bench.rehearsal.faults.request import Request
from bench.rehearsal.problems import RehearsalProblem

__all__ = ["parse_fault"]


def parse_fault(text: str, job: Job) -> Fault:
    """The fault in `NAME[:WINDING[,WINDING]][=SIZE]` on this job's unit; raises RehearsalProblem."""
    head, equals, size = text.strip().partition("=")
    name_text, colon, place_text = head.partition(":")
    try:
        name = FaultName(name_text.strip())
    except ValueError:
        raise RehearsalProblem(f"fault {name_text!r} is not known, expected one of {', '.join(FaultName)}") from None
    written = [part.strip() for part in place_text.split(",")] if colon else []
    if equals and not size.strip():
        raise RehearsalProblem(f"fault {text!r}: nothing after '=', expected a size")
    return _READERS[name](Request(name, job, tuple(written), size.strip()))


# The one table of what can be put in: a new fault is a name in FaultName, its reader, and a line here.
_READERS: dict[FaultName, Callable[[Request], Fault]] = {
    FaultName.NONE: around.none,
    FaultName.TURNS_WRONG: turns.turns_wrong,
    FaultName.TURNS_SHORTED: turns.turns_shorted,
    FaultName.WINDING_REVERSED: leads.winding_reversed,
    FaultName.LEADS_SWAPPED: leads.leads_swapped,
    FaultName.WINDING_OPEN: leads.winding_open,
    FaultName.JOINT_POOR: leads.joint_poor,
    FaultName.TAP_MISPLACED: taps.tap_misplaced,
    FaultName.STRAND_OPEN: strands.strand_open,
    FaultName.STRANDS_UNEQUAL: strands.strands_unequal,
    FaultName.WIRE_WRONG: wire.wire_wrong,
    FaultName.CORE_GAP: core.core_gap,
    FaultName.CORE_STACK_SHORT: core.core_stack_short,
    FaultName.CORE_STEEL_DEGRADED: core.core_steel_degraded,
    FaultName.LAMINATIONS_BRIDGED: core.laminations_bridged,
    FaultName.SCREEN_CLOSED: screens.screen_closed,
    FaultName.SCREEN_UNEARTHED: screens.screen_unearthed,
    FaultName.INSULATION_LOW: insulation.insulation_low,
    FaultName.READING_WRONG: around.reading_wrong,
    FaultName.SUPPLY_WRONG: around.supply_wrong,
}
