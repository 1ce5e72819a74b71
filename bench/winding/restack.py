"""The core put together again: what was answered of it, what the job lets expect, and what is wrong with it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from bench.design.sheet_thickness import sheet_thickness
from bench.job.model import Job
from bench.magnetics.emf import flux_density
from bench.quantities import Dimension, parse, show
from bench.winding.restack_words import INTERLEAVES, QUESTIONS, remark
from bench.winding.stage import Answered, Question, Remark, Weight, by_weight, unanswered
from bench.winding.typed_answers import Laminations, read_laminations

__all__ = ["Due", "Restack", "due_of", "gap_current", "judged", "laminations_due", "questions_for", "restack_of"]

_LEAST_FILLING = 0.85
"""Of a pressed stack: an old burred one stacked by hand has 0.90 to 0.93 of steel (from memory)."""

_FAR = 1.5
"""From the design's stack either way: what is further off is asked about once more (common practice, no source)."""


@dataclass(frozen=True)
class Restack:
    """What was answered; None where it was not.  gap, stack [m];  the rest as in restack_words.QUESTIONS."""

    came_out: Laminations | None = None
    put_in: Laminations | None = None
    left_over: Laminations | None = None
    scrapped: Laminations | None = None
    interleave: str | None = None
    gap: float | None = None
    stack: float | None = None
    bolts: str | None = None
    wedge: str | None = None
    band: str | None = None
    band_tested: str | None = None
    can: str | None = None
    can_tested: str | None = None
    earth: str | None = None


@dataclass(frozen=True)
class Due:
    """What the job lets expect.

    stack [m] pressed, thickness [m] of a sheet by its steel's name, None where the job does not say;  tolerance: of
    the stack;  core_kept: whether the same laminations go back in;  screens: their names;  flux_density [T] peak at
    nominal volts, volts [V rms] and turns of the primary, None where the job is not that far.
    """

    stack: float | None
    stacking_factor: float
    thickness: float | None
    interleave: str
    tolerance: float
    core_kept: bool
    screens: tuple[str, ...] = ()
    flux_density: float | None = None
    volts: float | None = None
    turns: int | None = None


def restack_of(answers: Answered) -> Restack:
    """The answers as values."""
    return Restack(
        came_out=answers.value("came_out", read_laminations),
        put_in=answers.value("laminations_in", read_laminations),
        left_over=answers.value("left_over", read_laminations),
        scrapped=answers.value("scrapped", read_laminations),
        gap=answers.quantity("gap", Dimension.LENGTH),
        stack=answers.quantity("stack", Dimension.LENGTH),
        **{key: answers.text(key) for key in _WORDS},
    )


_WORDS = ("interleave", "bolts", "wedge", "band", "band_tested", "can", "can_tested", "earth")


def due_of(job: Job, rules: dict[str, Any]) -> Due:
    """From the job;  rules: a table of profiles/limits."""
    core, primary = job.core, job.primary
    turns = None if primary is None else primary.turns
    density = None
    if job.supply is not None and turns is not None and core.net_area is not None:
        density = flux_density(job.supply.voltage, job.supply.frequency, turns, core.net_area)
    return Due(
        stack=core.stack,
        stacking_factor=core.stacking_factor,
        thickness=sheet_thickness(core),
        interleave=core.interleave,
        tolerance=float(rules["stack"]["tolerance"]),
        core_kept=job.as_found is None or job.as_found.core_kept,
        screens=tuple(one.name for one in job.screen),
        flux_density=density,
        volts=None if job.supply is None else job.supply.voltage,
        turns=turns,
    )


def laminations_due(due: Due) -> int | None:
    """E's (and as many I's) that make the design's stack; None where the steel's name tells no thickness."""
    if due.thickness is None or due.stack is None:
        return None
    return round(due.stack * due.stacking_factor / due.thickness)


def questions_for(due: Due) -> tuple[Question, ...]:
    """What is asked, with doubts where an answer is far from what the job lets expect."""
    wanted = laminations_due(due)

    def doubt_of_count(text: str) -> str:
        count = read_laminations(text)
        if wanted is None or all(wanted / _FAR < n < wanted * _FAR for n in (count.e, count.i)):
            return ""
        return f"the design's stack is about {wanted} of each"

    def doubt_of_height(text: str) -> str:
        height = parse(text, Dimension.LENGTH)
        if due.stack is None or due.stack / _FAR < height < due.stack * _FAR:
            return ""
        return f"the design's stack is {show(due.stack, 'm', 3)}"

    doubts = {"came_out": doubt_of_count, "laminations_in": doubt_of_count, "stack": doubt_of_height}
    return tuple(replace(one, doubt=doubts[one.key]) if one.key in doubts else one for one in QUESTIONS)


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


def judged(one: Restack, due: Due, photographs: int) -> tuple[Remark, ...]:
    """What is wrong with the stack, what is not said of it, and what is worth knowing; warnings first."""
    said = {
        "laminations_in": one.put_in, "left_over": one.left_over, "stack": one.stack, "interleave": one.interleave,
        "bolts": one.bolts, "earth": one.earth,
    }  # fmt: skip
    remarks = [
        *_counts(one, due), *_steel(one, due), *_joints(one, due), *_height(one, due), *_bolts(one), *_rings(one),
        *_earth(one, due), *_wedge(one), *unanswered(QUESTIONS, said),
    ]  # fmt: skip
    if not photographs:
        remarks.append(remark("no_photograph", Weight.NOTE, "no photograph of the stacked core is kept"))
    return by_weight(remarks)


# -- counts ----------------------------------------------------------------------------------------


def _counts(one: Restack, due: Due) -> list[Remark]:
    if one.put_in is None:
        return []
    remarks = []
    if one.put_in.e != one.put_in.i:
        more, less = ("E", "I") if one.put_in.e > one.put_in.i else ("I", "E")
        lacking = abs(one.put_in.e - one.put_in.i)
        without = f"{_times(lacking, more)} without {'its' if lacking == 1 else 'their'} {less}"
        words = f"{one.put_in.e} E but {one.put_in.i} I are in: {without}"
        remarks.append(remark("e_not_i", Weight.WARNING, words))
    if one.came_out is not None and due.core_kept:
        remarks += _against_came_out(one, one.put_in, one.came_out, due)
    elif _left_over_counts(one, due) and one.left_over is not None:
        remarks += _short(one.put_in.closed, one.put_in.closed + one.left_over.closed, due, "with those left over")
    return remarks


def _against_came_out(one: Restack, put_in: Laminations, came_out: Laminations, due: Due) -> list[Remark]:
    remarks = _short(put_in.closed, came_out.closed, due, "as came out")
    if one.left_over is not None:
        known = put_in + one.left_over + (one.scrapped or Laminations(0, 0))
        if known != came_out:
            where = f"{put_in} in, {one.left_over} left over, {one.scrapped or 'none'} scrapped"
            lost = [(came_out.e - known.e, "E"), (came_out.i - known.i, "I")]
            told = [f"{abs(n)} {kind} {'unaccounted for' if n > 0 else 'too many'}" for n, kind in lost if n]
            words = f"{came_out} came out; {where}: {', '.join(told)}"
            new = all(n <= 0 for n, _ in lost)
            remarks.append(remark("more_than_came_out" if new else "unaccounted", _weight_of(new), words))
    return remarks


def _left_over_counts(one: Restack, due: Due) -> bool:
    """Whether those left over are missing: of new ones out of a box they are not."""
    return due.core_kept and one.left_over is not None and one.left_over.closed > 0


def _weight_of(harmless: bool) -> Weight:
    return Weight.NOTE if harmless else Weight.WARNING


def _short(closed: int, wanted: int, due: Due, as_what: str) -> list[Remark]:
    """Fewer closed layers than wanted, and what that takes from the stack; a note within its tolerance."""
    if closed >= wanted or wanted == 0:
        return []
    share = (wanted - closed) / wanted
    words = f"{closed} closed layers where {wanted} make the stack {as_what}: {_times(wanted - closed, 'layer')} short"
    return [remark("missing_laminations", _weight_of(share <= due.tolerance), words + _cost(share, due))]


def _cost(share: float, due: Due) -> str:
    """What a share of the stack that is missing comes to."""
    told = f", {share * 100:.1f} % of the stack"
    if due.stack is not None:
        told += f" ({show(share * due.stack, 'm', 2)} of the design's {show(due.stack, 'm', 3)})"
    if share < 1:
        more = 1 / (1 - share)
        told += f"; {(more - 1) * 100:.1f} % more flux density at the same volts"
        if due.flux_density is not None:
            told += f", {show(due.flux_density, 'T')} becomes {show(due.flux_density * more, 'T')}"
    return told


def _times(number: int, what: str) -> str:
    plural = "" if number == 1 else "'s" if len(what) == 1 else "s"
    return f"{number} {what}{plural}"


# -- height and steel ------------------------------------------------------------------------------


def _steel(one: Restack, due: Due) -> list[Remark]:
    """Count times thickness, where the steel's name tells it, against the height and the design."""
    if one.put_in is None or due.thickness is None:
        return []
    remarks = []
    steel = one.put_in.closed * due.thickness
    counted = f"{one.put_in.closed} x {show(due.thickness, 'm', 2)} (by the name of the steel) is {show(steel, 'm', 3)}"
    if one.stack is not None:
        filling = steel / one.stack
        if filling > 1:
            words = f"{counted} of steel, more than the {show(one.stack, 'm', 3)} that it stands high"
            remarks.append(remark("more_steel_than_height", Weight.WARNING, words))
        elif filling < _LEAST_FILLING:
            words = f"{counted} of steel in {show(one.stack, 'm', 3)}: {filling * 100:.0f} % of the height"
            remarks.append(remark("loose_stack", Weight.WARNING, words))
    wanted = laminations_due(due)
    told_already = (one.came_out is not None and due.core_kept) or _left_over_counts(one, due)
    if wanted is not None and not told_already:
        remarks += _short(one.put_in.closed, wanted, due, "by the design")
    return remarks


def _height(one: Restack, due: Due) -> list[Remark]:
    if one.stack is None or due.stack is None:
        return []
    off = one.stack / due.stack - 1
    if abs(off) <= due.tolerance:
        return []
    words = (
        f"the stack is {show(one.stack, 'm', 3)} high, the design's {show(due.stack, 'm', 3)}: {off * 100:+.1f} %, "
        f"more than the {due.tolerance * 100:.0f} % that the test passes"
    )
    return [remark("stack_low" if off < 0 else "stack_high", Weight.WARNING, words)]


# -- joints ----------------------------------------------------------------------------------------


def _joints(one: Restack, due: Due) -> list[Remark]:
    if one.interleave is None:
        return []
    remarks = []
    is_at, due_at = (INTERLEAVES.index(kind) for kind in (one.interleave, due.interleave))
    if is_at > due_at:
        words = f"stacked {one.interleave} where the job says {due.interleave}"
        remarks.append(remark("looser_joints", Weight.WARNING, words))
    elif is_at < due_at:
        words = f"stacked {one.interleave} where the job says {due.interleave}: change core.interleave in the job file"
        remarks.append(remark("tighter_joints", Weight.NOTE, words))
    if one.interleave == "butt" and one.gap is not None:
        remarks.append(_gap(one.gap, due))
    return remarks


def _gap(gap: float, due: Due) -> Remark:
    words = f"a spacer of {show(gap, 'm', 2)} in the joint"
    current = gap_current(due, gap)
    if current is not None and due.volts is not None:
        words += (
            f" takes up to {show(current, 'A', 2)} of exciting current at {show(due.volts, 'V', 3)} "
            "beside what the steel takes (all flux straight across it)"
        )
    return remark("gap", Weight.WARNING, words)


# -- what holds it, and what closes round it -------------------------------------------------------


def _bolts(one: Restack) -> list[Remark]:
    if one.bolts != "bare":
        return []
    words = "a bolt lacks its insulating tube or a washer"
    return [remark("bare_bolts", Weight.WARNING, words)]


def _rings(one: Restack) -> list[Remark]:
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
            remarks.append(remark("ring_not_tested", Weight.NOTE, f"the {name} is fitted, and {told}"))
    return remarks


def _earth(one: Restack, due: Due) -> list[Remark]:
    if one.earth == "not joined":
        what = " and ".join(["the core", *(f"the {name}" for name in due.screens)])
        words = f"the earth lead is not joined ({what}, and a band where there is one)"
        return [remark("not_earthed", Weight.WARNING, words)]
    if one.earth == "none" and due.screens:
        words = f"no earth lead, and yet the job has a screen: {', '.join(due.screens)}"
        return [remark("not_earthed", Weight.WARNING, words)]
    return []


def _wedge(one: Restack) -> list[Remark]:
    return [remark("no_wedge", Weight.NOTE, "no wedge in the tongue")] if one.wedge == "left out" else []
