"""The build on a former against handbook figures of E-I laminations."""

from __future__ import annotations

import math

import pytest

from bench.job.wire import awg_diameter, overall_diameter
from bench.magnetics.former import (
    build_layers,
    copper_area,
    layer_turns,
    mean_turn,
    turns_per_layer,
    winding_length,
    window_utilisation,
)

FORMER = 1e-3
"""Wall of the former [m]: common practice, no source; the handbook does not say what it took."""

# C.W.T. McLyman, Transformer and Inductor Design Handbook, 3rd ed., ch. 3, tables of E-I laminations with a square
# stack: tongue and mean length of a turn with the window full, in cm. From memory, not confirmed.
LAMINATIONS = [(1.905, 11.2), (2.540, 14.8), (3.175, 18.2), (3.810, 22.0), (4.445, 25.6)]


def _full_window(tongue: float) -> tuple[int, int, float, float]:
    """Turns a layer and layers of 20 AWG, grade 2, that fill a scrapless window; its bare and overall diameter."""
    bare = awg_diameter(20)
    overall = overall_diameter(bare, 2)
    per_layer = turns_per_layer(overall, 1, winding_length(1.5 * tongue, 2e-3, FORMER))
    layers = 1
    while _outer(tongue, per_layer, layers + 1, overall) <= tongue / 2:
        layers += 1
    return per_layer, layers, bare, overall


def _outer(tongue: float, per_layer: int, layers: int, overall: float) -> float:
    return build_layers(tongue, tongue, FORMER, [per_layer] * layers, overall, 0.0)[-1].outer


@pytest.mark.parametrize(("tongue", "mean_length"), LAMINATIONS)
def test_mean_turn_of_a_full_window(tongue: float, mean_length: float) -> None:
    # Ours may be shorter by some percent, never longer: a turn here bends as tightly round the corner as it can, and
    # less than a layer's height is left free.
    per_layer, layers, _, overall = _full_window(tongue * 1e-2)
    built = build_layers(tongue * 1e-2, tongue * 1e-2, FORMER, layer_turns(per_layer * layers, per_layer), overall, 0.0)
    assert 0.96 < mean_turn(built) * 100 / mean_length < 1.0


@pytest.mark.parametrize(("tongue", "_mean_length"), LAMINATIONS)
def test_copper_in_a_full_window(tongue: float, _mean_length: float) -> None:
    # McLyman, ch. 4, from memory: Ku = 0.855 (copper in the wire) x 0.61 (wire in the winding) x 0.75 (winding in the
    # window) x 1.0 = 0.391. For 20 AWG ours are 0.81, 0.67 and, as margins and former take more of a small window than
    # of a large one, 0.65 to 0.85.
    per_layer, layers, bare, overall = _full_window(tongue * 1e-2)
    copper = copper_area(per_layer * layers, 1, bare)
    assert (bare / overall) ** 2 == pytest.approx(0.855, rel=0.06)
    used = window_utilisation(copper, tongue * 0.5e-2, tongue * 1.5e-2)
    assert math.prod((0.855, 0.61, 0.75, 1.0)) == pytest.approx(0.391, abs=5e-4)
    assert used == pytest.approx(0.391, rel=0.2)
