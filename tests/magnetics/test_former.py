"""What must hold of layers on a former whatever the wire: geometry, order, fill."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.magnetics.copper import wire_resistance
from bench.magnetics.former import (
    BULGE,
    LayerBuild,
    build_layers,
    copper_area,
    layer_turns,
    mean_turn,
    turns_per_layer,
    winding_length,
    window_fill,
    window_utilisation,
)

TONGUE, STACK, START = 0.032, 0.045, 1.2e-3
LAYERS = st.lists(st.integers(1, 120), min_size=1, max_size=25)
OVERALL = st.floats(0.06e-3, 1.2e-3)


def _built(layers: list[int], overall: float = 0.45e-3, interlayer: float = 0.05e-3) -> tuple[LayerBuild, ...]:
    return build_layers(TONGUE, STACK, START, layers, overall, interlayer)


def _outline(width: float, depth: float, distance: float, steps: int = 400) -> float:
    """Length of the closed curve everywhere `distance` from a rectangle, by adding up short chords."""
    corners = [(width / 2, depth / 2), (-width / 2, depth / 2), (-width / 2, -depth / 2), (width / 2, -depth / 2)]
    points = []
    for quarter, (x, y) in enumerate(corners):
        for step in range(steps + 1):
            angle = (quarter + step / steps) * math.pi / 2
            points.append((x + distance * math.cos(angle), y + distance * math.sin(angle)))
    return sum(math.dist(a, b) for a, b in itertools.pairwise([*points, points[0]]))


@given(st.floats(0.01, 0.1), st.floats(0.01, 0.1), st.floats(0.0, 0.03), OVERALL)
def test_a_turn_is_as_long_as_the_outline_of_the_leg_at_its_distance(
    tongue: float, stack: float, start: float, overall: float
) -> None:
    (layer,) = build_layers(tongue, stack, start, [10], overall, 0.0, bulge=1.0)
    assert layer.mean_turn == pytest.approx(_outline(tongue, stack, start + overall / 2), rel=1e-6)


@given(LAYERS, OVERALL, st.floats(0.0, 0.2e-3))
def test_each_layer_lies_outside_the_one_before(layers: list[int], overall: float, interlayer: float) -> None:
    built = _built(layers, overall, interlayer)
    assert [layer.turns for layer in built] == layers
    for below, above in itertools.pairwise(built):
        assert below.inner < below.outer <= above.inner + 1e-15 < above.outer
        assert above.mean_turn > below.mean_turn > 2 * (TONGUE + STACK)


@given(LAYERS, OVERALL, st.floats(0.0, 0.2e-3))
def test_the_build_is_that_of_the_layers_and_the_paper_with_the_bulge(
    layers: list[int], overall: float, interlayer: float
) -> None:
    built = _built(layers, overall, interlayer)
    flat = len(layers) * overall + (len(layers) - 1) * interlayer
    assert built[-1].outer - START == pytest.approx(BULGE * flat, rel=1e-9)


@given(LAYERS, st.data())
def test_the_mean_of_two_stretches_is_the_mean_of_the_whole(layers: list[int], data: st.DataObject) -> None:
    total = sum(layers)
    built = _built(layers)
    if total == 1:
        assert mean_turn(built) == built[0].mean_turn
        return
    split = data.draw(st.integers(1, total - 1))
    inner, outer = mean_turn(built, 0, split), mean_turn(built, split)
    assert (inner * split + outer * (total - split)) / total == pytest.approx(mean_turn(built), rel=1e-12)
    assert inner <= outer * (1 + 1e-12)


def test_the_outer_half_has_more_ohms_than_the_inner() -> None:
    built = _built([100, 100, 100, 100])
    inner, outer = (
        wire_resistance(200 * length, 0.4e-3) for length in (mean_turn(built, 0, 200), mean_turn(built, 200))
    )
    # Two layers of 1.12 x (0.45 + 0.05) mm further out on average: 2 pi x 1.12 mm on a turn of about 160 mm.
    assert outer - inner == pytest.approx(wire_resistance(200 * 2 * math.pi * 1.12e-3, 0.4e-3), rel=1e-9)


def test_a_part_filled_last_layer_counts_by_its_turns() -> None:
    full, part = _built([100, 100]), _built([100, 1])
    assert part[-1].outer == full[-1].outer
    assert mean_turn(part) == pytest.approx((100 * full[0].mean_turn + full[1].mean_turn) / 101)


@given(st.integers(1, 3000), st.integers(1, 4), OVERALL)
def test_layers_hold_the_turns_and_no_layer_is_empty(turns: int, strands: int, overall: float) -> None:
    length = winding_length(0.048, 3e-3, 1e-3)
    per_layer = turns_per_layer(overall, strands, length)
    layers = layer_turns(turns, per_layer)
    assert sum(layers) == turns
    assert set(layers[:-1]) <= {per_layer}
    assert 1 <= layers[-1] <= per_layer
    assert per_layer * strands * overall <= 0.95 * length < (per_layer + 1) * strands * overall


def test_a_build_higher_than_the_window_fills_more_than_all_of_it() -> None:
    assert window_fill(14.4e-3, 16e-3) == pytest.approx(0.9)
    assert window_fill(_built([50] * 40)[-1].outer, 16e-3) > 1


def test_utilisation_is_copper_over_window() -> None:
    # 600 turns of 0.4 mm: 75.4 mm2, in 16 mm x 48 mm.
    assert window_utilisation(copper_area(600, 1, 0.4e-3), 0.016, 0.048) == pytest.approx(75.398 / 768, rel=1e-5)
    assert copper_area(20, 3, 0.5e-3) == pytest.approx(copper_area(60, 1, 0.5e-3))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: winding_length(0.02, 8e-3, 2e-3), "8 mm and flanges of 2 mm .* no room in a window 20 mm high"),
        (lambda: winding_length(0.0, 1e-3, 1e-3), "more than 0"),
        (lambda: turns_per_layer(2e-3, 4, 8e-3), "4 x 2 mm does not fit a layer 8 mm long"),
        (lambda: turns_per_layer(0.0, 1, 0.04), "more than 0"),
        (lambda: layer_turns(0, 10), "0 turns at 10 a layer"),
        (lambda: _built([]), "at least one layer"),
        (lambda: _built([20, 0]), r"\[20, 0\] turns"),
        (lambda: build_layers(TONGUE, STACK, START, [10], 0.4e-3, 0.0, bulge=0.9), "bulge not less than 1"),
        (lambda: build_layers(TONGUE, STACK, -1e-3, [10], 0.4e-3, 0.0), "must not be negative"),
        (lambda: mean_turn(_built([10]), 0, 11), "turns 0 to 11, expected a stretch within 0 to 10"),
        (lambda: mean_turn(_built([10]), 5, 5), "turns 5 to 5"),
        (lambda: window_fill(0.01, 0.0), "window width"),
        (lambda: copper_area(10, 0, 0.4e-3), "strands at least 1"),
        (lambda: window_utilisation(800e-6, 0.016, 0.048), "800 mm2 of copper in a window of 768 mm2"),
    ],
)
def test_what_cannot_be_wound_is_refused_with_its_numbers(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
