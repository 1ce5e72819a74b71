"""Windings and their sections as spans between leads: signed turns and ohms, good or changed by a fault."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from bench.design.seats import seats, section_mean_turn
from bench.job.expectation import Span, Variant
from bench.job.model import Job
from bench.job.winding import Winding
from bench.magnetics.copper import wire_resistance

__all__ = ["Section", "sections", "spans"]


@dataclass(frozen=True)
class Section:
    """What lies between two neighbouring leads of a winding as drawn; mean_turn [m], None while it has no place.

    turns: negative where the lead named first comes last.
    """

    name: str
    start: str
    finish: str
    turns: int
    mean_turn: float | None


def sections(job: Job) -> dict[str, tuple[Section, ...]]:
    """Of each winding whose turns are known, its sections from the start to the finish."""
    laid = seats(job)
    found = {}
    for winding in job.winding:
        begun, parts = 0, []
        whole = len(winding.sections) == 1
        for start, finish, turns in winding.sections:
            length = section_mean_turn(job, laid, winding.name, begun, begun + turns)
            begun += turns
            parts.append(Section(winding.name if whole else f"{winding.name}.{finish}", start, finish, turns, length))
        found[winding.name] = tuple(parts)
    return found


def spans(
    job: Job, drawn: dict[str, tuple[Section, ...]], assembly: dict[str, Any], variant: Variant
) -> dict[str, Span]:
    """By name, each whole winding and then its sections where it has taps; all signs against the primary's.

    drawn: of `sections`;  assembly: the allowances of a hand-made unit.
    """
    assert job.primary is not None
    primary_sign = -1 if job.primary.name in variant.reversed_spans else 1
    primary_sign *= job.primary.polarity
    u_log = math.hypot(assembly["u_log_mean_turn"], assembly["u_log_wire"])
    found: dict[str, Span] = {}
    for winding in job.winding:
        labelled = _labelled(winding.name, variant)
        source = winding if labelled == winding.name else job.get_winding(labelled)
        if source.taps or winding.taps:
            source = winding  # tapped windings are not exchanged whole: nobody mistakes three leads for two
        for span in _of_winding(winding.name, source, drawn[source.name], primary_sign, u_log, variant):
            found[span.name] = span
    return found


def _labelled(name: str, variant: Variant) -> str:
    if variant.swapped is not None and name in variant.swapped:
        first, second = variant.swapped
        return second if name == first else first
    return name


def _of_winding(
    label: str, source: Winding, drawn: tuple[Section, ...], primary_sign: int, u_log: float, variant: Variant
) -> list[Span]:
    """Whole winding, then its sections when it has taps."""
    whole_sign = primary_sign * source.polarity * (-1 if source.name in variant.reversed_spans else 1)
    diameter = None if source.wire is None else source.wire.diameter
    tapped = len(drawn) > 1
    if tapped and source.name in variant.reversed_spans:
        drawn, whole_sign = _ends_exchanged(drawn), -whole_sign
    parts = []
    for section in drawn:
        added = variant.turns_added.get(section.name, 0.0)
        if tapped:
            added += variant.turns_added.get(source.name, 0.0) / len(drawn)
        sign = -whole_sign if tapped and section.name in variant.reversed_spans else whole_sign
        sign *= 1 if section.turns > 0 else -1
        wound = abs(section.turns) + added
        is_open = variant.open_winding in (source.name, section.name)
        ohms = _resistance(source, wound, section.mean_turn, is_open)
        if ohms is not None:
            ohms = ohms * variant.resistance_factor.get(source.name, 1.0) + variant.ohms_added.get(section.name, 0.0)
        name = section.name if tapped else label
        parts.append(Span(name, label, section.start, section.finish, sign * wound, ohms, u_log, diameter, not tapped))
    if not tapped:
        return parts
    turns = sum(part.turns for part in parts)
    ohms = _sum_known([part.resistance for part in parts])
    return [Span(label, label, "start", "finish", turns, ohms, u_log, diameter), *parts]


def _ends_exchanged(drawn: tuple[Section, ...]) -> tuple[Section, ...]:
    """What lies between the leads when the wires of start and finish have changed places, and the taps have not.

    The first section then holds all that follows its tap, the other way round, and the last one all that precedes its.
    """
    first, *between, last = drawn
    return (
        _all_of(first, (*between, last)),
        *between,
        _all_of(last, (first, *between)),
    )


def _all_of(label: Section, parts: tuple[Section, ...]) -> Section:
    turns = sum(part.turns for part in parts)
    lengths = [None if part.mean_turn is None else part.mean_turn * part.turns for part in parts]
    total = _sum_known(lengths)
    return replace(label, turns=-turns, mean_turn=None if total is None else total / turns)


def _resistance(winding: Winding, turns: float, length: float | None, is_open: bool) -> float | None:
    if is_open:
        return math.inf
    if winding.resistance is not None and winding.turns:
        return winding.resistance * turns / winding.turns
    if length is None or winding.wire is None:
        return None
    return wire_resistance(turns * length, winding.wire.diameter, winding.strands)


def _sum_known(values: list[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None
