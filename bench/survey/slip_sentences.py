"""A slip in words: what went wrong, by how much, and what would settle it."""

from __future__ import annotations

from bench.survey.slips import Explanation, SlipKind
from bench.survey.values import Survey

__all__ = ["disagreement_lines", "percent", "slip_text"]

_WHOLE_TURNS_TOLD = 0.25
"""Turns within which a winding must be known (k = 2) before anything is said of whole and half turns."""


def disagreement_lines(survey: Survey) -> list[str]:
    """Everything that does not fit, the likeliest slip first; empty where all fits."""
    if not survey.disagrees:
        return []
    lines = []
    if survey.slips and survey.slips[0].kind is not SlipKind.NONE:
        top = survey.slips[0]
        lines.append(f"{_sure(sum(one.probability for one in survey.alike))}: {slip_text(survey, top)}")
        for other in survey.slips[1:]:
            if other.kind is SlipKind.NONE or other.probability < 0.05 or any(other is one for one in survey.alike):
                continue
            lines.append(f"or ({percent(other.probability)}): {slip_text(survey, other)}")
    apart = [one for one in survey.windings if not one.agrees and one.residue is not None]
    if survey.more_than_one:
        lines.append(
            "More than one thing is wrong: that alone does not make counts and volts fit. Read and count again before "
            "anything is taken from this."
        )
    elif not lines and apart:
        lines.append("No single slip is likely, and yet these lie apart by more than their doubts:")
    if survey.more_than_one or (apart and lines and lines[-1].endswith(":")):
        lines += [
            f"  {one.name}: {one.residue.value:+.1f} ± {one.residue.expanded:.1f} turns against all the rest"
            for one in apart
            if one.residue is not None
        ]
    for one in survey.windings:
        if one.copper_apart is not None:
            lines.append(
                f"the copper of {one.name} says {one.copper_apart:.2g} times the turns: look at the decimal of its "
                f"ohms, at "
                "its wire and at its joints."
            )
    return lines


def slip_text(survey: Survey, one: Explanation) -> str:
    """What went wrong, by how much, and what would settle it."""
    size = abs(one.size)
    way = "too many" if one.size > 0 else "too few"
    if len(survey.alike) > 1 and any(one is other for other in survey.alike):
        return _either(survey)
    match one.kind:
        case SlipKind.MISCOUNT:
            return (
                f"{one.winding} was miscounted by {_about(survey, one.winding, size)}, {way}. Count its layers again, "
                f"or "
                "take the corrected count."
            )
        case SlipKind.HALF_TURN:
            return (
                f"{one.winding} has half a turn {'less' if one.size > 0 else 'more'} than counted: start and finish "
                f"leave "
                "on opposite sides of the core. Look at its leads before they are cut."
            )
        case SlipKind.LOST_COUNT:
            return (
                f"the count of {one.winding} was lost on the way, by about {size:.0f} turns "
                f"{way}{_plus_minus(one.u_size)}. Count again."
            )
        case SlipKind.TAP:
            return (
                f"the tap at the end of {one.winding} is {_turns(size)} {'earlier' if one.size > 0 else 'later'} than "
                "counted, and the whole winding as counted. Count the section to the tap again."
            )
        case SlipKind.REFERENCE:
            return _reference(survey, one)
        case SlipKind.READING | SlipKind.CURRENT_RATIO:
            what = "the reading of" if one.kind is SlipKind.READING else "the current ratio of"
            return (
                f"{what} {one.winding} is off by {percent(size)}, {'high' if one.size > 0 else 'low'}"
                f"{_no_whole_turn(survey, one)}. Read it again: range, decimal, leads."
            )
        case SlipKind.NONE:
            return "nothing is wrong"


def _reference(survey: Survey, one: Explanation) -> str:
    size = abs(one.size)
    return (
        f"every winding is off by the same {percent(size)} against {one.winding}: the reference is wrong, the volts on "
        f"{one.winding}. It read {percent(size)} too {'high' if one.size > 0 else 'low'}, or was not read at the same "
        "moment. Read it again together with any other winding."
    )


def _either(survey: Survey) -> str:
    """What no reading tells apart: the volts on the fed winding, or its own count."""
    reference = next((one for one in survey.alike if one.kind is SlipKind.REFERENCE), None)
    counts = [one for one in survey.alike if one.of_a_count]
    count = max(counts, key=lambda one: one.probability)
    turns = f"{abs(count.size):.0f} turns {'too many' if count.size > 0 else 'too few'}"
    if reference is None:
        return f"the count of {count.winding} is off, by about {turns}. Count its layers again."
    size = abs(reference.size)
    return (
        f"every winding is off by the same {percent(size)} against {reference.winding}: the reference is wrong. Either "
        f"the volts on {reference.winding} were read {percent(size)} too {'high' if reference.size > 0 else 'low'}, "
        f"or not "
        f"at the same moment, or its own count is off, by about {turns}: readings against it can't tell which. Read "
        f"its "
        "volts again together with any other winding, and count its layers again."
    )


def _about(survey: Survey, winding: str, turns: float) -> str:
    """Turns of a miscount: exact only where the winding is known to the turn."""
    u = survey.u_turns(winding)
    return _turns(turns) if u is None or 2 * u < 1 else f"about {_turns(turns)} (± {2 * u:.0f})"


def _no_whole_turn(survey: Survey, one: Explanation) -> str:
    u = survey.u_turns(one.winding)
    if one.kind is not SlipKind.READING or u is None or 2 * u > _WHOLE_TURNS_TOLD:
        return ""
    turns = one.size * one.posterior.turns(one.winding)
    return "" if abs(2 * turns - round(2 * turns)) < 4 * u else ", by no whole or half number of turns"


def percent(part: float) -> str:
    """A fraction as a person reads it: two digits below ten per cent."""
    value = 100 * part
    return f"{value:.0f} %" if value >= 9.95 else f"{value:.1f} %"


def _plus_minus(u: float) -> str:
    return f" (± {2 * u:.0f})" if 2 * u >= 0.5 else ""


def _turns(size: float) -> str:
    return f"{size:g} turn" if size == 1 else f"{size:g} turns"


def _sure(probability: float) -> str:
    word = "almost surely" if probability > 0.95 else "most likely" if probability > 0.7 else "perhaps"
    return f"{word} ({percent(probability)})"
