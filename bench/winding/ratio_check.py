"""Volts on a dozen laminations against the windings that are on already, while the new one can still be unwound."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bench.design.plan import PlannedWinding, WindingPlan
from bench.design.trial_ratio import SEARCH_COIL, SEARCH_COIL_TURNS, Trial, TrialReading
from bench.estimate import Estimate
from bench.winding.check_values import COVERAGE, Conclusion, Counted, Explanation, Says, conclude, sees, worst
from bench.winding.ratio_answer import Polarity, RatioAnswer, RatioOf
from bench.winding.ratio_causes import VoltsCase, causes_of
from bench.winding.trial_limits import (
    TooManyVolts,
    cautions,
    highest_volts,
    over_the_limit,
    planned_turns,
    series_name,
)
from bench.winding.wound_length import wound_length

__all__ = ["TrialVolts", "before_and_after", "check_ratio"]

_UNKNOWN_DROP = 0.01
"""Where the core is not known: a small unit fed on a few laminations reads 0 to 2 % low, the middle is taken (common
practice, no source)."""


@dataclass(frozen=True)
class TrialVolts:
    """What was read: `fed`, volts on the winding that is fed;  `read`, volts on each thing that the trial names;
    series: volts across fed and new winding with the finish of the fed one linked to the start of the new one, None
    where it was not read.  With one meter on one range the gain leaves with the ratio."""

    fed: Estimate
    read: Mapping[str, Estimate]
    series: Estimate | None = None


def before_and_after(before: Estimate, after: Estimate) -> Estimate:
    """Volts on the fed winding at the time of the reading between the two: their mean, with the drift as a doubt."""
    mean = 0.5 * (before + after)
    return mean.also("supply drift", abs(after.value - before.value) / 2 / math.sqrt(3.0))


def check_ratio(plan: WindingPlan, trial: Trial, volts: TrialVolts, counts: Mapping[str, Counted]) -> RatioAnswer:
    """What the volts of a trial say of the turns of the winding just wound, and of its sections.

    counts: of the windings by name, of sections by theirs (`ht.centre`) where they were marked while winding; a section
    that lacks is taken as designed, a winding must be there.

    turns = turns of the fed winding x volts / volts fed / (1 - drop), where the trial's `per_volt` has the drop.  Where
    the new winding is fed itself, a coil or an inner winding of known turns tells it the other way round.  A section is
    judged by its share in the whole once the whole agrees: what core and drop do to both leaves with that.  Raises
    TooManyVolts for more than the trial allows, and ValueError.
    """
    read = {name: one.value for name, one in volts.read.items()}
    in_series = {} if volts.series is None else {series_name(trial): volts.series.value}
    told = over_the_limit(plan, trial, volts.fed.value, read | in_series)
    if told is not None:
        raise TooManyVolts(told)
    known = {one.of: one for one in trial.readings}
    strange = [name for name in read if name not in known]
    if strange or not (read or in_series):
        what = f"volts on {', '.join(strange)}" if strange else "no volts"
        raise ValueError(f"{what} after {trial.after}, expected on {', '.join(known)}")
    for name in dict.fromkeys((trial.fed, trial.after)):
        if name not in counts:
            raise ValueError(f"turns of {name}: no count, expected one")
    _enough(volts.fed, trial.fed)
    of: list[RatioOf] = []
    for one in trial.readings:
        if one.of in volts.read:
            whole = next((each for each in of if each.of == trial.after), None)
            of.append(_one(plan, trial, one, volts, counts, whole))
    polarity = None if volts.series is None else _polarity(plan, trial, volts, volts.series, known)
    conclusions = [one.conclusion for one in of] + ([] if polarity is None else [polarity.conclusion])
    return RatioAnswer(
        after=trial.after,
        fed=trial.fed,
        fed_counted=counts[trial.fed],
        fed_volts=volts.fed.value,
        highest=highest_volts(plan, trial, volts.fed.value, read | in_series),
        of=tuple(of),
        polarity=polarity,
        conclusion=worst(tuple(conclusions)),
        cautions=cautions(trial),
    )


@dataclass(frozen=True)
class _Basis:
    """From what the turns of `of` follow: name and count of it, the volts on it and on `of`, volts per turn on `of`
    over those on it, and u of that."""

    of: str
    by: str
    counted: Counted
    volts: Estimate
    base: Estimate
    share: float
    u_share: float


def _one(
    plan: WindingPlan,
    trial: Trial,
    reading: TrialReading,
    volts: TrialVolts,
    counts: Mapping[str, Counted],
    whole: RatioOf | None,
) -> RatioOf:
    planned = plan.winding(trial.after)
    basis = _basis(plan, trial, reading, volts, counts, whole)
    counted = _count_of(plan, basis.of, counts)
    known = basis.counted
    reference = Estimate(known.turns, {f"count:{basis.by}": known.u} if known.bounded else {})
    turns = reference * basis.volts / basis.base * (1 / basis.share)
    turns = turns.also("core", turns.value * basis.u_share / basis.share)
    half = COVERAGE * turns.u if known.bounded else math.inf
    says = Says(turns.value, max(0.0, turns.value - half), turns.value + half)
    wound = wound_length(planned)
    conclusion = conclude(says, counted, wound.full, len(wound.layers) == 1)
    causes: tuple[Explanation, ...] = ()
    if conclusion is Conclusion.DISAGREES:
        causes = causes_of(
            VoltsCase(
                difference=turns.value - counted.turns,
                u=math.hypot(turns.u, counted.u),
                says=says,
                counted=counted,
                reference=known,
                reference_name=basis.by,
                layer=wound.full,
                layers=len(wound.layers),
                between=_between_leads(planned, basis.of),
                taps=_taps(planned, basis.of) if basis.by == trial.after else (),
            )
        )
    return RatioOf(
        of=basis.of,
        by=basis.by,
        volts=basis.volts.value,
        base_volts=basis.base.value,
        due=basis.base.value * basis.share * counted.turns / known.turns,
        counted=counted,
        says=says,
        sees=sees(says, counted),
        conclusion=conclusion,
        causes=causes,
    )


def _basis(
    plan: WindingPlan,
    trial: Trial,
    reading: TrialReading,
    volts: TrialVolts,
    counts: Mapping[str, Counted],
    whole: RatioOf | None,
) -> _Basis:
    read = volts.read[reading.of]
    section = reading.of.startswith(f"{trial.after}.")
    share, u_share = _share(plan, trial, reading)
    # Flux beside the core is the only thing that sections of one winding do not have in common: what of it passes
    # between them goes with what the winding takes of the window's width.
    planned = plan.winding(trial.after)
    u_apart = u_share * min(1.0, (planned.outer - planned.inner) / plan.shape.window_width)
    if section and trial.after == trial.fed:
        return _Basis(reading.of, trial.fed, counts[trial.fed], read, volts.fed, 1.0, u_apart)
    if section and whole is not None and whole.conclusion is not Conclusion.DISAGREES:
        base = volts.read[trial.after]
        return _Basis(reading.of, trial.after, counts[trial.after], read, _enough(base, trial.after), 1.0, u_apart)
    if trial.after == trial.fed:
        known = _count_of(plan, reading.of, counts)
        # The one that is fed has more volts for each turn, by what its own ohms take.
        return _Basis(
            trial.after, reading.of, known, volts.fed, _enough(read, reading.of), 1 / share, u_share / share**2
        )
    return _Basis(reading.of, trial.fed, counts[trial.fed], read, volts.fed, share, u_share)


def _share(plan: WindingPlan, trial: Trial, reading: TrialReading) -> tuple[float, float]:
    """Volts per turn of what is read over those of the winding that is fed, and u of that."""
    if reading.u is None:
        return 1 - _UNKNOWN_DROP, _UNKNOWN_DROP / math.sqrt(3.0)
    ratio = _turns_of(plan, reading.of) / planned_turns(plan, trial.fed)
    return reading.per_volt / ratio, reading.u / ratio


def _polarity(
    plan: WindingPlan, trial: Trial, volts: TrialVolts, series: Estimate, known: Mapping[str, TrialReading]
) -> Polarity:
    """Half way between sum and difference, which is the larger of the two volts, is the limit; what lies nearer to it
    than the doubt tells nothing."""
    if trial.after == trial.fed:
        raise ValueError(f"a series sum of {trial.fed} with itself, expected another winding to be fed")
    new = volts.read.get(trial.after, known[trial.after].per_volt * volts.fed)
    smaller, larger = sorted((volts.fed, new), key=lambda one: one.value)
    beyond = series - larger
    found = None
    if abs(beyond.value) > COVERAGE * beyond.u and smaller.value > COVERAGE * beyond.u:
        found = 1 if beyond.value > 0 else -1
    due = plan.winding(trial.fed).winding.polarity * plan.winding(trial.after).winding.polarity
    return Polarity(series.value, larger.value + smaller.value, larger.value - smaller.value, due, found)


def _enough(read: Estimate, name: str) -> Estimate:
    if not read.value > COVERAGE * read.u:
        raise ValueError(f"{read.value:.3g} V on {name}, expected more than the meter's own doubt of it")
    return read


def _count_of(plan: WindingPlan, name: str, counts: Mapping[str, Counted]) -> Counted:
    return counts[name] if name in counts else Counted.exactly(_turns_of(plan, name))


def _turns_of(plan: WindingPlan, name: str) -> int:
    """Turns of a winding, a section or the search coil, as designed; raises ValueError."""
    if name == SEARCH_COIL:
        return SEARCH_COIL_TURNS
    winding, _, section = name.partition(".")
    if not section:
        return planned_turns(plan, winding)
    for _, finish, turns in plan.winding(winding).winding.sections:
        if finish == section:
            return turns
    raise ValueError(f"{name}: no such section, expected winding.lead")


def _between_leads(planned: PlannedWinding, of: str) -> tuple[tuple[str, int], ...]:
    """Turns between any two leads of the winding but the two that are meant, with their names."""
    marks = [0, *(tap.turn for tap in planned.winding.taps), sum(layer.turns for layer in planned.layers)]
    names = planned.winding.lead_names
    meant = of.partition(".")[2]
    pairs = []
    for first in range(len(marks)):
        for last in range(first + 1, len(marks)):
            own = last == first + 1 and names[last] == meant if meant else (first, last) == (0, len(marks) - 1)
            if not own:
                pairs.append((f"{names[first]} to {names[last]}", marks[last] - marks[first]))
    return tuple(pairs)


def _taps(planned: PlannedWinding, of: str) -> tuple[tuple[str, int], ...]:
    """The taps at either end of a section: +1 where it ends, -1 where it begins."""
    meant = of.partition(".")[2]
    for start, finish, _ in planned.winding.sections:
        if finish == meant:
            ends = ((finish, 1), (start, -1))
            return tuple((name, side) for name, side in ends if name not in ("start", "finish"))
    return ()
