"""What stays dangerous for whoever puts the unit into its equipment, worked out for this unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bench.job.model import Job
from bench.job.winding import Winding
from bench.quantities import show

__all__ = ["caution_lines"]

_HURTS = 50.0
"""Volts RMS from which a winding is named: more than what is commonly held to be felt only (common practice)."""


def caution_lines(job: Job, verdict: str, steps: Sequence[dict[str, Any]], varnished: bool) -> tuple[str, ...]:
    """The first is the verdict's, where it is not `accepted`.  steps: of the result;  varnished: before the test."""
    lines = [_of_verdict(verdict), _of_volts(job, steps), _of_fuse(job), _of_earth(job), _of_equipment(job)]
    lines.append(
        "Disconnected equipment is not dead: its filter capacitors keep hundreds of volts. Discharge them, measure, "
        "then touch. An isolating transformer protects against one touch, not against two."
    )
    lines.append(
        "First hours in the equipment attended, on a ground that does not burn: core and windings get hot, and this "
        "paper is of one test on a bench. Only for whoever is competent and, where the law says so, licensed."
    )
    if not varnished:
        lines.append("Tested without varnish on record: once it is varnished, test again before it goes into service.")
    if job.targets.safety_class == "II":
        lines.append(
            "Equipment without protective earth (class II) relies on this unit's reinforced insulation, which these "
            "tests do not prove."
        )
    return tuple(line for line in lines if line)


def _of_verdict(verdict: str) -> str:
    match verdict:
        case "accepted":
            return ""
        case "rejected":
            return "REJECTED: not to be put into equipment, nor under mains anywhere but on a test bench."
        case "trouble":
            return "Instruments or supply were at fault: this test says nothing of the unit. Not to be used by it."
    return f"{verdict.upper()}: not shown to be fit for use; what is open stands under the readings and under Not done."


def _of_volts(job: Job, steps: Sequence[dict[str, Any]]) -> str:
    """The highest first, at the supply's upper limit and without load."""
    found = sorted(((_volts(one, job, steps), one.name) for one in job.winding), reverse=True)
    high = [f"{show(volts, 'V', 3)} on {name}" for volts, name in found if volts >= _HURTS]
    if not high:
        return "Mains kills. Cover every terminal and every open end before power."
    return (
        f"Mains kills, and so does what it turns into: up to {', '.join(high)} (end to end, no load, supply at its "
        "upper limit). Every terminal, also of a winding that is not used, is covered before power."
    )


def _volts(winding: Winding, job: Job, steps: Sequence[dict[str, Any]]) -> float:
    """Of this winding end to end [V]: by its turns, else by what was read or rated."""
    supply, primary = job.supply, job.primary
    high = 1.0 if supply is None else 1 + supply.tolerance
    if supply is not None and primary is not None and primary.turns and winding.turns:
        return high * supply.voltage * winding.turns / primary.turns
    read = [float(one["measured"]) for one in steps if one["id"] == f"open_circuit:{winding.name}" and one["measured"]]
    return high * max([*read, winding.rated_voltage or 0.0])


def _of_fuse(job: Job) -> str:
    primary = job.primary
    rated = ""
    if primary is not None and primary.rated_current:
        rated = f" (rated current of the primary: {show(primary.rated_current, 'A', 3)})"
    return (
        f"It brings no fuse of its own: one goes into the live conductor, by the primary's current{rated} and slow "
        "enough for the surge at switching on; none in the earth conductor."
    )


def _of_earth(job: Job) -> str:
    words = "Core, and band where there is one, to the equipment's protective earth before power"
    for one in job.screen:
        lead = str(one.lead)
        words += f"; lead {lead} of {one.name} too" if lead else f"; the lead of {one.name} too"
        if one.far_lead is not None:
            words += f", never its other end {one.far_lead}, which would close it to a shorted turn"
    return words + "."


def _of_equipment(job: Job) -> str:
    made, supply = job.made_for, job.supply
    if made is None or supply is None:
        return ""
    lines = []
    if supply.voltage > made.voltage * (1 + supply.tolerance):
        lines.append(
            f"The equipment was made for {show(made.voltage, 'V', 3)}: its mains lead, plug, switch, fuse holder and "
            f"suppression capacitors must bear {show(supply.voltage, 'V', 3)}, and its label must say so"
        )
    if abs(supply.frequency - made.frequency) > 0.5 and made.or_frequency is None:
        lines.append(
            f"motors, clocks and other transformers in it were made for {made.frequency:g} Hz and meet "
            f"{supply.frequency:g} Hz"
        )
    words = "; ".join(lines)
    return f"{words[:1].upper()}{words[1:]}." if words else ""
