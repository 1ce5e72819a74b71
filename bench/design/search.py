"""The best design of a problem: turns by branch and bound, wires by dynamic programming."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from bench.design.fill import Fill, Need, Objective, fill_window
from bench.design.problem import Aim, DesignProblem

__all__ = ["Design", "best_design", "candidates", "designs_near"]

_MOST_TURNS_FACTOR = 2.0
"""Primary turns are looked at up to this many times the fewest: beyond it the flux is half of what is allowed."""


@dataclass(frozen=True)
class Design:
    """primary_turns;  turns by winding;  fill: wires and layers;  core_loss [W];  flux_density [T] at nominal;
    worth: what was made least."""

    primary_turns: int
    turns: dict[str, int]
    fill: Fill
    core_loss: float
    flux_density: float
    worth: float

    @property
    def total_loss(self) -> float:
        return self.core_loss + self.fill.loss


def candidates(problem: DesignProblem) -> list[int]:
    """Primary turns at which flux and whole turns come out, fewest first."""
    fixed = [one for one in problem.secondaries if one.fixed is not None]
    if fixed:
        # Windings that stay give the turns per volt: the primary follows them.
        per_volt = max(one.fixed / (one.volts * one.regulation) for one in fixed if one.fixed is not None)
        return [round(per_volt * problem.voltage)]
    fewest = problem.fewest_turns
    return [n for n in range(fewest, math.ceil(fewest * _MOST_TURNS_FACTOR) + 1) if problem.volts_come_out(n)]


def best_design(problem: DesignProblem) -> Design | None:
    """The best of all candidates and all wires; None where nothing fits.

    More primary turns mean more, or as many, turns everywhere, so that a window filled for fewer turns is never
    lossier or heavier than one for more at the same currents; and the core loses less the more turns there are.  So
    the turns of the lower end of a stretch of candidates, with the core and the exciting current of its upper end,
    bound all between, and stretches that can't beat the best so far are left out.  A test holds it against trying all.
    """
    turns = candidates(problem)
    if not turns:
        return None
    most = problem.most_loss
    best = _at(problem, turns[0], most)
    waiting: list[tuple[float, int, int]] = []
    _push(waiting, problem, turns, 0, len(turns) - 1, most)
    while waiting:
        bound, first, last = heapq.heappop(waiting)
        if best is not None and bound >= best.worth * (1 - 1e-12):
            break
        middle = (first + last) // 2
        for start, end in ((first, middle), (middle + 1, last)):
            if start > end:
                continue
            found = _at(problem, turns[start], most, best)
            if found is not None and (best is None or found.worth < best.worth):
                best = found
            if start < end:
                _push(waiting, problem, turns, start + 1, end, most, best)
    return best


def designs_near(problem: DesignProblem, best: Design, count: int = 6) -> list[Design]:
    """Other primary turns that come out, nearest in worth first: what each alternative costs."""
    most = problem.most_loss
    near = [n for n in candidates(problem) if n != best.primary_turns]
    near = sorted(near, key=lambda n: abs(n - best.primary_turns))[: 3 * count]
    found = [one for one in (_at(problem, n, most) for n in near) if one is not None]
    return sorted(found, key=lambda one: one.worth)[:count]


def _push(
    waiting: list[tuple[float, int, int]],
    problem: DesignProblem,
    turns: list[int],
    first: int,
    last: int,
    most: float,
    best: Design | None = None,
) -> None:
    """A stretch of candidates with the least that any of them can be worth; one that can't fit at all is left out."""
    core = problem.core_loss(turns[last])
    fill = _fill(problem, problem.least_needs(turns[first], turns[last]), _spare(problem.aim, most, core, best), best)
    if fill is not None:
        heapq.heappush(waiting, (_worth(problem.aim, fill, core), first, last))


def _spare(aim: Aim, most: float, core: float, best: Design | None) -> float:
    """Copper loss [W] that is left under the limit, and under what the best so far would lose: more need not be looked
    at."""
    if best is None or aim is Aim.COPPER:
        return most - core
    return min(most - core, best.worth - (core if aim is Aim.TEMPERATURE else 0.0))


def _at(problem: DesignProblem, primary_turns: int, most: float, best: Design | None = None) -> Design | None:
    core = problem.core_loss(primary_turns)
    needs = problem.needs(primary_turns)
    fill = _fill(problem, needs, _spare(problem.aim, most, core, best), best)
    if fill is None:
        return None
    return Design(
        primary_turns=primary_turns,
        turns={need.name: need.turns for need in needs},
        fill=fill,
        core_loss=core,
        flux_density=problem.flux_density(primary_turns),
        worth=_worth(problem.aim, fill, core),
    )


def _fill(problem: DesignProblem, needs: Sequence[Need], most_copper_loss: float, best: Design | None) -> Fill | None:
    if most_copper_loss <= 0:
        return None
    if problem.aim is not Aim.COPPER:
        return fill_window(problem.room, needs, Objective.LOSS, most_copper_loss, free_after=problem.free_after)
    most_copper = math.inf if best is None else best.fill.copper
    return fill_window(
        problem.room, needs, Objective.COPPER, most_copper_loss, most_copper, free_after=problem.free_after
    )


def _worth(aim: Aim, fill: Fill, core_loss: float) -> float:
    match aim:
        case Aim.LOSS:
            return fill.loss
        case Aim.TEMPERATURE:
            return fill.loss + core_loss
        case Aim.COPPER:
            return fill.copper
