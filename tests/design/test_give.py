"""What would have to give when nothing fits, and that following the advice makes it fit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.design.give import Give, Thing, what_could_give
from bench.design.problem import Aim, DesignProblem
from bench.design.search import best_design
from tests.design.test_search import _problem, _wires


def _tight(amps: float) -> DesignProblem:
    problem = _problem({"ht": (300.0, amps, 2), "heater": (6.3, 2.0, 1)}, _wires(8, 1), Aim.LOSS)
    return replace(problem, room=replace(problem.room, width=0.0105), most_rise=30.0)


@pytest.fixture(scope="module")
def told() -> tuple[Give, ...]:
    """What could give where 0.35 A are too much."""
    return what_could_give(_tight(0.35))


def test_nothing_fits_and_each_thing_that_could_give_is_told_with_its_nearest(told: tuple[Give, ...]) -> None:
    problem = _tight(0.35)
    assert best_design(problem) is None
    gives = {one.thing: one for one in told if not one.of}
    # Either the heater's current or the other's may help alone; the one that makes most of the watts does.
    assert "ht" in {one.of for one in told}
    assert {Thing.WINDOW, Thing.RISE, Thing.CURRENTS} <= set(gives)
    assert gives[Thing.WINDOW].to > problem.room.width
    assert gives[Thing.RISE].to > 30.0
    assert gives[Thing.CURRENTS].to < 1.0


@pytest.mark.parametrize("thing", [Thing.WINDOW, Thing.RISE, Thing.CURRENTS])
def test_following_the_advice_makes_it_fit_and_less_does_not(thing: Thing, told: tuple[Give, ...]) -> None:
    problem = _tight(0.35)
    give = next(one for one in told if one.thing is thing and not one.of)

    def asked(value: float) -> DesignProblem:
        match thing:
            case Thing.WINDOW:
                return replace(problem, room=replace(problem.room, width=value))
            case Thing.RISE:
                return replace(problem, most_rise=value)
            case _:
                return replace(
                    problem, secondaries=tuple(replace(one, current=one.current * value) for one in problem.secondaries)
                )

    assert best_design(asked(give.to)) is not None
    short = give.to + 0.02 * (give.from_ - give.to)
    assert best_design(asked(short)) is None


def test_what_fits_needs_nothing_to_give() -> None:
    problem = _problem({"heater": (6.3, 1.0, 1)}, _wires(8, 1), Aim.LOSS)
    assert best_design(problem) is not None


def test_currents_that_no_window_bears_leave_only_what_helps() -> None:
    gives = {one.thing for one in what_could_give(_tight(3.0))}
    assert Thing.VOLTS not in gives
