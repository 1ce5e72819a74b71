"""How the core is joined, held and closed round: interleave, spacer, bolts, band and can, earth, wedge."""

from __future__ import annotations

import math
from dataclasses import replace

from bench.quantities import show
from bench.winding.restack_values import Due, Restack
from bench.winding.restack_words import INTERLEAVES, remark
from bench.winding.stage import Remark, Weight

__all__ = ["bolts", "earth", "gap_current", "joints", "joints_due", "rings", "wedge"]


def joints(one: Restack, due: Due) -> list[Remark]:
    """Air in them, against what the job says: more or less of it, or a spacer."""
    if one.interleave is None:
        return []
    remarks = []
    is_at, due_at = (INTERLEAVES.index(kind) for kind in (one.interleave, due.interleave))
    if is_at > due_at:
        words = f"stacked {one.interleave} where {joints_due(due)}"
        remarks.append(remark("looser_joints", Weight.WARNING, words))
    elif is_at < due_at:
        words = f"stacked {one.interleave} where {joints_due(due)}: change core.interleave in the job file"
        remarks.append(remark("tighter_joints", Weight.NOTE, words))
    if one.interleave == "butt" and one.gap is not None:
        remarks.append(_gap(one.gap, due))
    return remarks


def joints_due(due: Due) -> str:
    """By whose word the joints were foretold."""
    if due.interleave_said:
        return f"the job says {due.interleave}"
    return f"the job says nothing and {due.interleave} was taken (say core.interleave in the job file)"


def _gap(gap: float, due: Due) -> Remark:
    words = f"a spacer of {show(gap, 'm', 2)} in the joint"
    current = gap_current(due, gap)
    if current is not None and due.volts is not None:
        words += (
            f" takes up to {show(current, 'A', 2)} of exciting current at {show(due.volts, 'V', 3)} "
            "beside what the steel takes (all flux straight across it)"
        )
    return remark("gap", Weight.WARNING, words)


def gap_current(due: Due, gap: float) -> float | None:
    """What a spacer of `gap` [m] in a butt joint takes of exciting current [A rms] at nominal volts: B 2g / (mu0 N √2).

    The flux crosses the joint twice, in the tongue and in the outer limbs. Ampère's law with all the flux straight
    across: fringing makes it less. None where the job tells no flux density or turns; raises ValueError for a gap
    below zero.
    """
    from bench.magnetics.steel import MU_0  # with the curves of the steels, which only this needs

    if gap < 0:
        raise ValueError(f"gap {gap:g} m, expected none or more")
    if due.flux_density is None or due.turns is None:
        return None
    return due.flux_density * 2 * gap / (MU_0 * due.turns * math.sqrt(2))


def bolts(one: Restack) -> list[Remark]:
    """One that touches the laminations."""
    if one.bolts != "bare":
        return []
    words = "a bolt lacks its insulating tube or a washer"
    return [remark("bare_bolts", Weight.WARNING, words)]


def rings(one: Restack) -> list[Remark]:
    """Band and can: where they are, and whether the unit was tested with them and without."""
    remarks = []
    if one.band == "inside":
        words = "a closed band lies inside the window, round a winding"
        remarks.append(remark("band_inside", Weight.WARNING, words))
    if one.band == "left off":
        words = "the band that it had is left off"
        remarks.append(remark("band_left_off", Weight.NOTE, words))
    if one.can == "left off":
        words = "the can that it had is left off"
        remarks.append(remark("can_left_off", Weight.NOTE, words))
    for name, fitted, tested in (
        ("band", one.band in ("outside", "inside"), one.band_tested),
        ("can", one.can == "fitted", one.can_tested),
    ):
        if fitted and tested != "both":
            told = {"without": "tested without it only", "with": "tested with it only"}.get(tested or "", "not tested")
            untested = remark("ring_not_tested", Weight.NOTE, f"the {name} is fitted, and {told}")
            remarks.append(replace(untested, about=f"{name}_tested"))
    return remarks


def earth(one: Restack, due: Due) -> list[Remark]:
    """A core or a screen that no lead earths."""
    if one.earth == "not joined":
        what = " and ".join(["the core", *(f"the {name}" for name in due.screens)])
        words = f"the earth lead is not joined ({what}, and a band where there is one)"
        return [remark("not_earthed", Weight.WARNING, words)]
    if one.earth == "none" and due.screens:
        words = f"no earth lead, and yet the job has a screen: {', '.join(due.screens)}"
        return [remark("not_earthed", Weight.WARNING, words)]
    return []


def wedge(one: Restack) -> list[Remark]:
    """One that was left out."""
    return [remark("no_wedge", Weight.NOTE, "no wedge in the tongue")] if one.wedge == "left out" else []
