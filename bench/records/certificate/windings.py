"""The windings of a certificate: leads, turns as found, designed and counted, wire, layers, reel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bench.design.plan import plan_or_none
from bench.job.as_found import AsFound, FoundWinding
from bench.job.model import Job
from bench.job.winding import Winding
from bench.records.certificate.unit import Row
from bench.records.entry import Entry, Kind
from bench.winding.state import counted_last

__all__ = ["COUNTED", "winding_rows"]

COUNTED = 4
"""Column of the count."""


def winding_rows(job: Job, found: AsFound, entries: Sequence[Entry]) -> tuple[Row, ...]:
    """name, leads from start to finish, turns and wire as found, turns as designed, as counted, wire, layers, reel;
    entries: up to the test."""
    counted = counted_last((one.kind, one.body) for one in entries)
    old = {one.name: one for one in found.winding}
    plan = plan_or_none(job)
    layers = {} if plan is None else {one.name: len(one.layers) for one in plan.windings}
    return tuple(
        (
            one.name,
            _leads(one),
            _as_found(old.get(one.name)),
            "" if one.turns is None else str(one.turns),
            _counted(counted.get(one.name)),
            _wire(one),
            str(layers.get(one.name) or len(one.layers) or ""),
            _reel(one.name, entries),
        )
        for one in job.winding
    )


def _leads(winding: Winding) -> str:
    leads = [str(winding.start)]
    leads += [f"{tap.name} {tap.lead} at {tap.turn}".replace("  ", " ") for tap in winding.taps]
    leads.append(str(winding.finish))
    return " – ".join(part for part in leads if part)


def _as_found(one: FoundWinding | None) -> str:
    if one is None:
        return ""
    turns = "" if one.turns is None else f"{one.turns:g}"
    wire = "" if one.wire is None else f"of {one.wire.name}{_in_hand(one.strands)}"
    return " ".join(part for part in (turns, wire) if part)


def _wire(one: Winding) -> str:
    if one.wire is None:
        return ""
    grade = "" if one.grade is None else f", grade {one.grade}"
    return f"{one.wire.name}{_in_hand(one.strands)}{grade}"


def _in_hand(strands: int) -> str:
    return f", {strands} in hand" if strands > 1 else ""


def _reel(name: str, entries: Sequence[Entry]) -> str:
    batches = [
        str(one.body["batch"])
        for one in entries
        if one.kind == Kind.WINDING_CHECK and one.body.get("winding") == name and one.body.get("batch")
    ]
    return batches[-1] if batches else ""


def _counted(done: Mapping[str, Any] | None) -> str:
    if done is None:
        return ""
    turns, low, high = (done.get(key) for key in ("turns", "low", "high"))
    said = f"{float(turns or 0.0):.1f}"
    if low is None and high is None:
        return f"{said}, not known for certain"
    return said if low == high else f"{said} ({_bound(low)} to {_bound(high)})"


def _bound(value: Any) -> str:
    return "not known" if value is None else f"{float(value):.1f}"
