"""The one thing the design face says: whether it fits, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.dashboard.design.limits_view import standing_of_limit
from bench.dashboard.design.reckoned import DesignShown
from bench.dashboard.parts.flux_scale import standing_of
from bench.dashboard.parts.look import Ink, Shape
from bench.design.limits import Limit

if TYPE_CHECKING:
    from bench.dashboard.design.reckoning import DesignReckoning

__all__ = ["Verdict", "verdict_of"]

_BY_HAND = "What is missing goes into the job file; it is read anew by itself."


@dataclass(frozen=True)
class Verdict:
    """words: large;  why: below;  whence: what is looked at."""

    words: str
    why: str
    whence: str
    shape: Shape
    ink: Ink
    ground: Ink


def verdict_of(of: DesignReckoning) -> Verdict:
    """Of what is shown; while something else is worked out, that is said beside it."""
    shown = of.shown
    if of.problem:
        return Verdict("It can't be worked out", of.problem, "", Shape.BANG, Ink.TROUBLE, Ink.TROUBLE_PALE)
    if shown is None:
        return Verdict("Working it out …", "", "", Shape.RING, Ink.QUIET, Ink.CARD)
    if of.under_way:
        whence = "worked out anew, a few seconds …"
    elif shown.found is not None:
        whence = "Found by the search; not in the job file yet: W writes it."
    else:
        whence = "As the job file has it; S searches for a better one."
    if shown.searched and shown.found is None:
        return _nothing_fits(shown, "Searched; the job file is as it was." if not of.under_way else whence)
    if shown.plan is None:
        missing = shown.needs or (shown.no_plan,)
        needed = f"missing: {', '.join(missing)}"
        return Verdict(
            "Not designed yet", needed, whence if of.under_way else _BY_HAND, Shape.RING, Ink.QUIET, Ink.CARD
        )
    return _planned(of, shown, whence)


def _planned(of: DesignReckoning, shown: DesignShown, whence: str) -> Verdict:
    plan = shown.plan
    assert plan is not None
    rise = () if of.on_load is None or of.on_load.rise is None else (of.on_load.rise,)
    limits = (*shown.limits, *rise)
    broken = [one for one in limits if standing_of_limit(one)[1] is Shape.CROSS]
    doubtful = [one for one in limits if standing_of_limit(one)[1] is Shape.QUERY]
    why = _nearest(limits) if limits else f"limits are not known without {', '.join(shown.needs)}"
    taken = f"{100 * plan.fill:.0f} % of the window"
    if plan.room_left < 0:
        words = f"It does not fit: {-plan.room_left * 1e3:.1f} mm too high"
        return Verdict(words, f"{taken}. {why}", whence, Shape.CROSS, Ink.BAD, Ink.BAD_PALE)
    if broken:
        words = f"It fits, but {broken[0].what} is over its limit"
        return Verdict(words, "; ".join(one.words for one in broken), whence, Shape.CROSS, Ink.BAD, Ink.BAD_PALE)
    if doubtful:
        words = f"It fits, but {doubtful[0].what} may be too much"
        return Verdict(words, doubtful[0].words, whence, Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE)
    past = [one for one in shown.flux.marks if standing_of(one, shown.flux)[1] is Shape.CROSS]
    if past:
        words = f"It fits, but {past[0].label} its flux is past the knee"
        return Verdict(words, f"{taken}. {why}", whence, Shape.QUERY, Ink.DOUBT, Ink.DOUBT_PALE)
    return Verdict(f"It fits: {taken}", why, whence, Shape.TICK, Ink.GOOD, Ink.GOOD_PALE)


def _nearest(limits: tuple[Limit, ...]) -> str:
    most = max(limits, key=lambda one: one.share)
    return f"What holds it: {most.words}."


def _nothing_fits(shown: DesignShown, whence: str) -> Verdict:
    gives = [line.strip() for line in shown.lines[2:5]]
    first = shown.lines[1] if len(shown.lines) > 1 else ""
    why = f"{first} {'; '.join(gives)}".strip()
    return Verdict("Nothing fits", why, whence, Shape.CROSS, Ink.BAD, Ink.BAD_PALE)
