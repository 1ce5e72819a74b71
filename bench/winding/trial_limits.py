"""How many volts a trial may have, and what to say at once when it has more."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bench.design.plan import WindingPlan
from bench.design.trial_ratio import HIGHEST_TERMINAL, LAMINATIONS, SEARCH_COIL, SEARCH_COIL_TURNS, Trial

__all__ = [
    "TooManyVolts",
    "cautions",
    "feed_volts",
    "highest_volts",
    "over_the_limit",
    "planned_turns",
    "series_name",
    "series_volts",
]

_ODD = 1.5
"""A turn with so much more than the fed winding's share tells of volts that nobody meant, such as a fed winding of
half its turns; less is a miscount of a small winding, or a meter (common practice, no source)."""

_FLOAT = 1 + 1e-9


class TooManyVolts(ValueError):
    """Volts that would put, or have put, more than the limit on a terminal, or more than the trial's on the fed one."""


def cautions(trial: Trial) -> tuple[str, ...]:
    """To be told before anything is fed."""
    lines = [
        f"Feed {trial.fed} and no other winding, from an isolated source turned up from zero, with at most "
        f"{trial.volts:g} V: that puts {trial.highest:.3g} V on the terminals with most. The same volts on a winding "
        "of fewer turns may put hundreds on the rest; a variac alone does not isolate.",
        f"Support block out, {LAMINATIONS} laminations in, E and I closed. Cover every open end; volts to zero before "
        "a lead is moved. Off at once if anything gets warm or smells: a turn may be shorted.",
    ]
    if any(one.of == SEARCH_COIL for one in trial.readings):
        lines.append(
            f"Search coil: {SEARCH_COIL_TURNS} turns of insulated hook-up wire through the window, both its ends out "
            "on one side and twisted together; take it off again afterwards."
        )
    return tuple(lines)


def feed_volts(trial: Trial, wanted: float | None = None) -> float:
    """Volts to feed: the trial's, or fewer where wanted.  Raises TooManyVolts for more than the trial allows."""
    if wanted is None:
        return trial.volts
    if not (math.isfinite(wanted) and wanted > 0):
        raise ValueError(f"{wanted:g} V to feed {trial.fed} with, expected more than 0, up to {trial.volts:g} V")
    if wanted > trial.volts * _FLOAT:
        raise TooManyVolts(
            f"{wanted:.4g} V to feed {trial.fed} with, expected at most {trial.volts:g} V: more would put over "
            f"{HIGHEST_TERMINAL:g} V on a terminal, or more flux through {LAMINATIONS} laminations than reads well"
        )
    return wanted


def series_volts(plan: WindingPlan, trial: Trial) -> float:
    """The most to feed [V] while fed and new winding are linked in series: their sum stays within the limit too.

    Raises ValueError where the new winding is the one that is fed.
    """
    if trial.after == trial.fed:
        raise ValueError(f"a series sum of {trial.fed} with itself, expected another winding to be fed")
    fed, new = planned_turns(plan, trial.fed), planned_turns(plan, trial.after)
    most = min(trial.volts, HIGHEST_TERMINAL * fed / (fed + new))
    step = 10.0 ** (math.floor(math.log10(most)) - 1)
    return math.floor(most / step + 1e-9) * step


def over_the_limit(plan: WindingPlan, trial: Trial, fed: float, read: Mapping[str, float]) -> str | None:
    """One line for the person at the bench where volts are too many, None where they are not.

    To be asked as soon as any reading is there: fed [V], 0 while not read;  read [V] by what they were read on.
    Raises ValueError for what is no number.
    """
    off = "source to zero now, touch nothing before it is"
    limit = f"expected at most {HIGHEST_TERMINAL:g} V on any terminal: {off}"
    for name, volts in ((trial.fed, fed), *read.items()):
        if not (math.isfinite(volts) and volts >= 0):
            raise ValueError(f"volts on {name}: {volts:g} V, expected a number of 0 or more")
        if volts > HIGHEST_TERMINAL * _FLOAT:
            return f"{volts:.4g} V on {name}, {limit}"
    meant = fed / planned_turns(plan, trial.fed)
    for one in trial.readings:
        # per_volt x turns of the fed winding: turns of what was read, for its drop of some percent.
        turns = one.per_volt * planned_turns(plan, trial.fed)
        each = read.get(one.of, 0.0) / turns
        most, where = _most(plan, trial)
        if each > _ODD * meant and each * most > HIGHEST_TERMINAL * _FLOAT:
            return (
                f"{read[one.of]:.4g} V on {one.of}, unless the clips are on other leads, mean {each * most:.3g} V on "
                f"{where}, {limit}"
            )
    if fed > trial.volts * _FLOAT:
        return f"{fed:.4g} V on {trial.fed}, expected at most {trial.volts:g} V: turn the source down and read again"
    return None


def highest_volts(plan: WindingPlan, trial: Trial, fed: float, read: Mapping[str, float]) -> float:
    """Most volts on any winding that is on, fed with so many [V] and read so [V]."""
    return max(fed / planned_turns(plan, trial.fed) * _most(plan, trial)[0], *read.values(), 0.0)


def series_name(trial: Trial) -> str:
    """What the volts across both windings are read on."""
    return f"{trial.fed} and {trial.after} in series"


def planned_turns(plan: WindingPlan, name: str) -> int:
    """Turns of a winding as planned; raises KeyError."""
    return sum(layer.turns for layer in plan.winding(name).layers)


def _most(plan: WindingPlan, trial: Trial) -> tuple[int, str]:
    """Turns of the winding with most of them among those that are on, and its name."""
    names = [one.name for one in plan.windings]
    laid = names[: names.index(trial.after) + 1]
    return max((planned_turns(plan, name), name) for name in laid)
