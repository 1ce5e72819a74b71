"""Hints on insulation, each with what it stands on: none of them is a verdict, and no standard was at hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "FROM_MEMORY",
    "NO_SOURCE",
    "Hint",
    "PairVolts",
    "Paper",
    "creepage",
    "creepage_hint",
    "layer_hints",
    "margin_hint",
    "margin_wanted",
    "pair_hint",
    "pair_volts",
    "paper_between_layers",
    "volts_between_layers",
    "wrap_hints",
]

FROM_MEMORY = "from memory, check your copy of the standard"
NO_SOURCE = "common practice, no source"

_PAPER_FROM, _PAPER_BY = 150.0, 200.0
_MARGIN = 3e-3
_MARGIN_VOLTAGE = 250.0
_HIGHEST_VOLTAGE = 1000.0


@dataclass(frozen=True)
class Hint:
    """One thing worth knowing before winding: `value` in SI with its `unit`, and the `basis` that goes with it."""

    what: str
    value: float
    unit: str
    basis: str


class Paper(StrEnum):
    """Whether paper belongs between two layers."""

    NOT_DUE = "not due"
    ADVISABLE = "advisable"
    DUE = "due"


@dataclass(frozen=True)
class PairVolts:
    """Highest RMS volts [V] that can stand between any two points of two windings."""

    first: str
    second: str
    volts: float


def volts_between_layers(layers: Sequence[int], volts_per_turn: float) -> float:
    """Highest RMS volts [V] between two layers that touch: (turns of one + turns of the next) x volts per turn.

    layers: turns in each, wound to and fro, so that the far ends of two layers are all their turns apart; full layers
    give 2 x turns per layer x volts per turn.  volts_per_turn [V rms] > 0.  0 where there is one layer only.
    Raises ValueError.  Source: geometry of the winding.
    """
    if not layers or min(layers) < 1:
        raise ValueError(f"layers of {list(layers)} turns, expected at least one layer and 1 turn in each")
    if not volts_per_turn > 0:
        raise ValueError(f"{volts_per_turn:g} volts per turn, expected more than 0")
    return max((a + b for a, b in itertools.pairwise(layers)), default=0) * volts_per_turn


def paper_between_layers(volts: float) -> Paper:
    """Whether paper belongs between two layers with that many RMS volts [V] between their far ends.

    Advisable from 150 V, due from 200 V, from memory.  Raises ValueError.
    """
    if volts < 0:
        raise ValueError(f"{volts:g} V between layers, expected 0 or more")
    if volts < _PAPER_FROM:
        return Paper.NOT_DUE
    return Paper.ADVISABLE if volts < _PAPER_BY else Paper.DUE


def layer_hints(layers: Sequence[int], volts_per_turn: float) -> tuple[Hint, ...]:
    """RMS and peak volts between layers, and whether paper is due; for arguments see volts_between_layers."""
    volts = volts_between_layers(layers, volts_per_turn)
    paper = paper_between_layers(volts)
    return (
        Hint("volts between layers, RMS", volts, "V", "turns of two layers x volts per turn"),
        Hint("volts between layers, peak", math.sqrt(2) * volts, "V", "of a sine: 1.414 x RMS"),
        Hint(
            f"paper between layers: {paper}",
            volts,
            "V",
            f"advisable from {_PAPER_FROM:g} V, due from {_PAPER_BY:g} V RMS: {FROM_MEMORY}; some wind enamelled wire "
            f"without any and paper between windings only ({NO_SOURCE})",
        ),
    )


def creepage(margin: float) -> float:
    """Path [m] along the tape from a winding to the one over it, round the end: 2 x margin [m] >= 0. Raises ValueError.

    Down one margin and up the other: both windings keep the margin.  Common bobbin geometry, no source.
    """
    if margin < 0:
        raise ValueError(f"a margin of {margin * 1e3:g} mm, expected 0 or more")
    return 2 * margin


def creepage_hint(margin: float) -> Hint:
    """Creepage between windings of a margin-taped former with that margin [m] on a side."""
    return Hint("creepage round the margin", creepage(margin), "m", f"2 x margin on a margin-taped former: {NO_SOURCE}")


def margin_wanted(working_voltage: float) -> float:
    """Margin [m] on each side between mains and a winding that people may touch, by RMS working voltage [V], to 1000 V.

    3 mm up to 250 V: 6 mm of creepage for reinforced insulation at 230 V.  Above in proportion to the voltage, as the
    creepage distances of IEC 60664-1 go.  All from memory.  Raises ValueError.
    """
    if not 0 < working_voltage <= _HIGHEST_VOLTAGE:
        raise ValueError(f"a working voltage of {working_voltage:g} V, expected over 0 to {_HIGHEST_VOLTAGE:g} V")
    return _MARGIN * max(1.0, working_voltage / _MARGIN_VOLTAGE)


def margin_hint(working_voltage: float) -> Hint:
    """Margin wanted on each side for reinforced insulation at that RMS working voltage [V]."""
    return Hint(
        f"margin on each side for reinforced insulation at {working_voltage:.4g} V",
        margin_wanted(working_voltage),
        "m",
        f"IEC 61558-1, about 6 mm of creepage at 230 V, more volts in proportion: {FROM_MEMORY}",
    )


def wrap_hints() -> tuple[Hint, ...]:
    """What is laid between the mains winding and the others: any one of the first two, or the last with a margin."""
    return (
        Hint(
            "layers of thin tape for reinforced insulation, any two of which bear the test",
            3.0,
            "",
            f"IEC 61558-1: {FROM_MEMORY}",
        ),
        Hint("solid insulation for reinforced insulation, in one piece", 0.4e-3, "m", f"IEC 61558-1: {FROM_MEMORY}"),
        Hint("wraps of paper between windings, 0.13 to 0.25 mm each", 2.0, "", f"with margins: {NO_SOURCE}"),
    )


def pair_volts(volts: Mapping[str, float]) -> tuple[PairVolts, ...]:
    """Every pair of windings with the most volts that can stand between them, highest first.

    volts: RMS volts [V] >= 0 of each winding by name.  The sum of the two, since any end of one may come to be joined
    to any end of the other, as a bond or as a fault.  Raises ValueError for fewer than two windings.
    """
    if len(volts) < 2:
        raise ValueError(f"{len(volts)} windings, expected at least 2")
    if min(volts.values()) < 0:
        raise ValueError("volts must not be negative")
    pairs = [PairVolts(a, b, volts[a] + volts[b]) for a, b in itertools.combinations(volts, 2)]
    return tuple(sorted(pairs, key=lambda pair: -pair.volts))


def pair_hint(volts: Mapping[str, float]) -> Hint:
    """The pair of windings with the most volts between them; for arguments see pair_volts."""
    worst = pair_volts(volts)[0]
    return Hint(
        f"highest volts between {worst.first} and {worst.second}",
        worst.volts,
        "V",
        "both windings end to end, RMS; a bond or an earth may leave less",
    )
