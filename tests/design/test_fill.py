"""The best fill of a window is the one that trying everything finds."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from bench.design.fill import Need, Objective, Room, WireOption, fill_window
from bench.magnetics.copper import wire_mass, wire_resistance
from bench.magnetics.former import build_layers, layer_turns, turns_per_layer

WIRES = tuple(
    WireOption(f"{d:.2f} mm", d * 1e-3, (d + 0.06 * math.sqrt(d)) * 1e-3, strands)
    for d in (0.15, 0.20, 0.28, 0.40, 0.56, 0.80, 1.0)
    for strands in (1, 2)
)


def _by_trying_everything(
    room: Room, needs: list[Need], objective: Objective, most_loss: float
) -> tuple[float, float] | None:
    """Loss and copper of the best, laid by the former's own layers and not by the search's arithmetic."""
    best: tuple[float, float] | None = None
    for wires in itertools.product(*(need.options for need in needs)):
        height, loss, copper = room.start, 0.0, 0.0
        for need, wire in zip(needs, wires, strict=True):
            try:
                turns = layer_turns(need.turns, turns_per_layer(wire.overall, wire.strands, room.length))
            except ValueError:
                break
            built = build_layers(room.tongue, room.stack, height, turns, wire.overall, room.interlayer)
            length = sum(one.turns * one.mean_turn for one in built)
            loss += need.current**2 * room.heat * wire_resistance(length, wire.diameter, wire.strands)
            copper += wire_mass(length, wire.diameter, wire.strands)
            height = built[-1].outer + need.after
        else:
            if height <= room.width and loss <= most_loss:
                worth = (copper, loss) if objective is Objective.COPPER else (loss, copper)
                if best is None or worth[0] < best[0]:
                    best = worth
    if best is None:
        return None
    return (best[1], best[0]) if objective is Objective.COPPER else best


def _problem(seed: int) -> tuple[Room, list[Need], Objective, float]:
    draw = random.Random(seed)
    room = Room(
        tongue=draw.uniform(0.016, 0.040),
        stack=draw.uniform(0.016, 0.050),
        start=draw.uniform(0.5e-3, 1.5e-3),
        width=draw.uniform(6e-3, 16e-3),
        length=draw.uniform(20e-3, 50e-3),
        interlayer=draw.choice([0.0, 0.05e-3]),
        heat=draw.uniform(1.0, 1.3),
    )
    needs = [
        Need(
            f"w{number}",
            draw.choice([8, 15, 40, 190, 420, 660]),
            draw.uniform(0.05, 3.0),
            tuple(draw.sample(WIRES, draw.randint(2, 6))),
            draw.uniform(0.2e-3, 0.8e-3),
        )
        for number in range(draw.randint(1, 4))
    ]
    objective = draw.choice(list(Objective))
    return room, needs, objective, draw.choice([math.inf, draw.uniform(2.0, 30.0)])


@pytest.mark.parametrize("seed", range(200))
def test_on_a_random_small_problem_it_equals_exhaustive_enumeration(seed: int) -> None:
    room, needs, objective, most_loss = _problem(seed)
    found = fill_window(room, needs, objective, most_loss)
    tried = _by_trying_everything(room, needs, objective, most_loss)
    assert (found is None) == (tried is None)
    if found is not None and tried is not None:
        worth = found.copper if objective is Objective.COPPER else found.loss
        assert worth == pytest.approx(tried[1] if objective is Objective.COPPER else tried[0], rel=1e-9)
        assert found.outer <= room.width + 1e-12
        assert found.loss <= most_loss * (1 + 1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_in_any_order_it_is_the_best_of_all_orders(seed: int) -> None:
    room, needs, objective, most_loss = _problem(seed)
    first = seed % 2
    orders = [[*needs[:first], *rest] for rest in itertools.permutations(needs[first:])]
    each = [fill_window(room, order, objective, most_loss) for order in orders]
    worths = [one.copper if objective is Objective.COPPER else one.loss for one in each if one is not None]
    found = fill_window(room, needs, objective, most_loss, free_after=first)
    assert (found is None) == (not worths)
    if found is not None:
        worth = found.copper if objective is Objective.COPPER else found.loss
        assert worth == pytest.approx(min(worths), rel=1e-9)
        assert [one.name for one in found.choices[:first]] == [one.name for one in needs[:first]]


def test_the_random_problems_are_of_both_kinds() -> None:
    solved = [fill_window(*_problem(seed)) for seed in range(200)]
    assert 40 < sum(one is None for one in solved) < 160


def test_what_it_says_of_its_choice_is_what_the_choice_gives() -> None:
    seen = 0
    for seed in range(200):
        room, needs, objective, most_loss = _problem(seed)
        found = fill_window(room, needs, objective, most_loss)
        if found is None:
            continue
        seen += 1
        only = [
            Need(need.name, need.turns, need.current, (choice.wire,), need.after)
            for need, choice in zip(needs, found.choices, strict=True)
        ]
        assert _by_trying_everything(room, only, Objective.LOSS, math.inf) == pytest.approx((found.loss, found.copper))
        for need, choice in zip(needs, found.choices, strict=True):
            per_layer = turns_per_layer(choice.wire.overall, choice.wire.strands, room.length)
            assert choice.layers == math.ceil(need.turns / per_layer)
    assert seen > 40
