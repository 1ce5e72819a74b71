"""A slip in words: what went wrong, by how much, and what would settle it."""

from __future__ import annotations

from bench.survey.slips import Explanation, SlipKind
from bench.survey.values import Survey

__all__ = ["percent", "slip_text"]


def slip_text(survey: Survey, one: Explanation) -> str:
    """What went wrong, by how much, and what would settle it."""
    size = abs(one.size)
    way = "too many" if one.size > 0 else "too few"
    match one.kind:
        case SlipKind.MISCOUNT:
            return (
                f"{one.winding} was miscounted by {_turns(size)}, {way}: the volts and the other windings say a whole "
                f"number of turns {'fewer' if one.size > 0 else 'more'}. Count its layers again, or take the "
                f"corrected count."
            )
        case SlipKind.HALF_TURN:
            return (
                f"{one.winding} has half a turn {'less' if one.size > 0 else 'more'} than counted: start and finish "
                f"leave "
                "on opposite sides of the core. Look at its leads before they are cut."
            )
        case SlipKind.LOST_COUNT:
            counted = survey.winding(one.winding.partition(".")[0]).counted
            lost = 0.0 if counted is None else counted.turns * size
            return f"the count of {one.winding} was lost on the way, by about {lost:.0f} turns {way}. Count again."
        case SlipKind.REFERENCE:
            fed = survey.winding(one.winding.partition(".")[0])
            count = "" if fed.counted is None else f" (or its own count, by {fed.counted.turns * size:.0f} turns)"
            return (
                f"every winding is off by the same {percent(size)} against {one.winding}: the reference is wrong, the "
                f"volts on {one.winding}{count}. It read {percent(size)} too {'high' if one.size > 0 else 'low'}, or "
                "was not read at the same moment. Read it again together with any other winding."
            )
        case SlipKind.READING:
            return (
                f"the reading of {one.winding} is off by {percent(size)}, {'high' if one.size > 0 else 'low'}, and "
                f"by no "
                "whole or half number of turns. Read it again: range, decimal, leads."
            )
        case SlipKind.NONE:
            return "nothing is wrong"


def percent(part: float) -> str:
    """A fraction as a person reads it: two digits below ten per cent."""
    value = 100 * part
    return f"{value:.0f} %" if value >= 9.95 else f"{value:.1f} %"


def _turns(size: float) -> str:
    return f"{size:g} turn" if size == 1 else f"{size:g} turns"
