"""When nothing fits: which limit binds, by how much, and the nearest design for each single thing that could give."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from bench.design.problem import DesignProblem
from bench.design.search import Design, best_design

__all__ = ["Give", "Thing", "what_could_give"]


class Thing(StrEnum):
    """What could give."""

    WINDOW = "window"
    RISE = "temperature rise"
    FLUX = "flux density"
    CURRENTS = "currents"
    VOLTS = "volts of whole turns"


@dataclass(frozen=True)
class Give:
    """thing;  from_, to: its limit as asked, and the nearest at which something fits, in SI (currents as a factor);
    design: what fits then;  of: the winding whose current gives, empty for all together."""

    thing: Thing
    from_: float
    to: float
    design: Design
    of: str = ""


def what_could_give(problem: DesignProblem) -> tuple[Give, ...]:
    """Each limit moved by itself until something fits, within reason: a window up to twice as wide, a rise up to 120 K,
    a flux density up to 1.6 T, currents down to a fifth, volts off by up to 10 %.  Those that don't help alone are left
    out.  The nearest is found by halving: each of them only makes more fit the farther it is moved.
    """
    gives = [
        _nearest(problem, Thing.WINDOW, problem.room.width, 2 * problem.room.width, DesignProblem.with_wider_window),
        _nearest(problem, Thing.RISE, problem.most_rise, 120.0, lambda p, rise: replace(p, most_rise=rise)),
        _nearest(problem, Thing.FLUX, problem.most_flux, 1.6, _with_flux),
        _nearest(problem, Thing.CURRENTS, 1.0, 0.2, _with_currents),
        *(_of_one(problem, one.name) for one in problem.secondaries if len(problem.secondaries) > 1),
        _nearest(problem, Thing.VOLTS, problem.volts_within, 0.10, lambda p, off: replace(p, volts_within=off)),
    ]
    return tuple(one for one in gives if one is not None)


def _nearest(
    problem: DesignProblem,
    thing: Thing,
    asked: float,
    farthest: float,
    moved: Callable[[DesignProblem, float], DesignProblem],
) -> Give | None:
    if asked == farthest:
        return None
    found = best_design(moved(problem, farthest))
    if found is None:
        return None
    near, far = asked, farthest
    for _ in range(12):
        middle = (near + far) / 2
        design = best_design(moved(problem, middle))
        if design is None:
            near = middle
        else:
            far, found = middle, design
    return Give(thing, asked, far, found)


def _with_flux(problem: DesignProblem, flux: float) -> DesignProblem:
    """Both limits of the flux density by the same factor."""
    return replace(problem, most_flux=flux, most_flux_high=problem.most_flux_high * flux / problem.most_flux)


def _of_one(problem: DesignProblem, name: str) -> Give | None:
    """The current of one secondary alone."""
    found = _nearest(problem, Thing.CURRENTS, 1.0, 0.2, lambda p, factor: _with_currents(p, factor, name))
    return None if found is None else replace(found, of=name)


def _with_currents(problem: DesignProblem, factor: float, of: str = "") -> DesignProblem:
    """All currents by a factor, or that of one winding."""
    return replace(
        problem,
        secondaries=tuple(
            replace(one, current=one.current * factor) if of in ("", one.name) else one for one in problem.secondaries
        ),
    )
