"""A fault by its name, its place and its size."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum

__all__ = ["Fault", "FaultName", "Place", "SizeKind"]


class FaultName(StrEnum):
    NONE = "none"
    TURNS_WRONG = "turns_wrong"
    TURNS_SHORTED = "turns_shorted"
    WINDING_REVERSED = "winding_reversed"
    LEADS_SWAPPED = "leads_swapped"
    WINDING_OPEN = "winding_open"
    JOINT_POOR = "joint_poor"
    TAP_MISPLACED = "tap_misplaced"
    STRAND_OPEN = "strand_open"
    STRANDS_UNEQUAL = "strands_unequal"
    WIRE_WRONG = "wire_wrong"
    CORE_GAP = "core_gap"
    CORE_STACK_SHORT = "core_stack_short"
    CORE_STEEL_DEGRADED = "core_steel_degraded"
    LAMINATIONS_BRIDGED = "laminations_bridged"
    SCREEN_CLOSED = "screen_closed"
    SCREEN_UNEARTHED = "screen_unearthed"
    INSULATION_LOW = "insulation_low"
    READING_WRONG = "reading_wrong"
    SUPPLY_WRONG = "supply_wrong"


class SizeKind(Enum):
    """What the size of a fault measures; the value says how it is written."""

    NOTHING = "no size"
    TURNS = "turns such as '-3' or a share such as '1 %'"
    WHOLE_TURNS = "whole turns such as '-3'"
    STEPS = "steps of wire size such as '-1'"
    OHMS = "ohms such as '0.02 ohm'"
    PART_OF_OHMS = "ohms such as '0.5 ohm' or a share of the winding's own such as '20 %'"
    MEGOHMS = "megohms such as '0.5 Mohm'"
    GAP = "a gap such as '0.05 mm'"
    SHARE = "a share such as '10 %'"
    PART_OF_LOSS = "a share of the good core's loss such as '50 %'"
    FACTOR = "a factor of 1 or more such as '1.5'"
    HERTZ = "hertz such as '60 Hz' or distortion such as '8 %'"
    DISTORTION = "distortion such as '8 %'"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a fault sits: a winding, screen or `core`; `tap` names the half that ends at that tap, or is empty."""

    name: str
    tap: str = ""

    def __str__(self) -> str:
        return f"{self.name}.{self.tap}" if self.tap else self.name


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault with its place and its size in SI (turns, ohm, m, 1, Hz); defaults are filled in."""

    name: FaultName
    places: tuple[Place, ...] = ()
    size: float = 0.0
    kind: SizeKind = SizeKind.NOTHING

    def __str__(self) -> str:
        where = ":" + ",".join(map(str, self.places)) if self.places else ""
        return f"{self.name}{where}{self._size()}"

    def _size(self) -> str:
        if self.kind is SizeKind.NOTHING:
            return ""
        # What can be a share or something else is told as a share: a bare number would be the something else.
        if self.kind in (SizeKind.PART_OF_OHMS, SizeKind.PART_OF_LOSS):
            return f"={self.size * 100:g} %"
        return f"={self.size:g}"
