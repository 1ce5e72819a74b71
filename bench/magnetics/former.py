"""The room on the former: turns in a layer, how high layers build, how long their turns are, whether all of it fits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = [
    "BULGE",
    "PACKING",
    "LayerBuild",
    "build_layers",
    "copper_area",
    "layer_turns",
    "mean_turn",
    "turns_per_layer",
    "winding_length",
    "window_fill",
    "window_utilisation",
]

BULGE = 1.12
"""Build height of a hand-wound coil over that of its layers laid flat: 10 to 15 % (memory, common practice)."""

PACKING = 0.95
"""Turns that a hand lays in a layer over those that the overall diameter would allow.

94 to 97 %: a coil winder's figure on the Tesla coil mailing list, pupman.com 2000/February/msg00005.
"""


@dataclass(frozen=True)
class LayerBuild:
    """One layer: height of its inner and outer face over the core leg [m], mean length of a turn [m], turns."""

    inner: float
    outer: float
    mean_turn: float
    turns: int


def winding_length(window_height: float, margin: float, flange: float) -> float:
    """Length [m] of a layer along the leg: window height less a margin and a flange of the former at either end, [m].

    Raises ValueError where nothing is left.
    """
    if not (window_height > 0 and margin >= 0 and flange >= 0):
        raise ValueError("window height must be more than 0, margin and flange not negative")
    length = window_height - 2 * (margin + flange)
    if length <= 0:
        raise ValueError(
            f"margins of {_mm(margin)} and flanges of {_mm(flange)} at both ends leave no room "
            f"in a window {_mm(window_height)} high"
        )
    return length


def turns_per_layer(overall: float, strands: int, length: float) -> int:
    """Turns of `strands` wires in hand, overall diameter [m], that a layer of `length` [m] takes: wound close at 95 %.

    floor(0.95 length / (strands x overall)).  Raises ValueError where not one turn fits.
    """
    if not (overall > 0 and strands >= 1):
        raise ValueError("overall diameter must be more than 0, strands at least 1")
    turns = math.floor(PACKING * length / (overall * strands))
    if turns < 1:
        raise ValueError(
            f"a turn of {strands} x {_mm(overall)} does not fit a layer {_mm(length)} long at {PACKING:.0%} packing"
        )
    return turns


def layer_turns(turns: int, per_layer: int) -> tuple[int, ...]:
    """Turns in each layer, inside first: all full but the last, which takes what is left. Raises ValueError."""
    if not (turns >= 1 and per_layer >= 1):
        raise ValueError(f"{turns} turns at {per_layer} a layer, expected at least 1 of each")
    full, rest = divmod(turns, per_layer)
    return (per_layer,) * full + ((rest,) if rest else ())


def build_layers(
    tongue: float,
    stack: float,
    start: float,
    layers: Sequence[int],
    overall: float,
    interlayer: float,
    bulge: float = BULGE,
) -> tuple[LayerBuild, ...]:
    """Layers of a winding that begins `start` [m] over the core leg, tongue x stack [m], inside first.

    layers: turns in each;  overall: diameter over the enamel [m], of one strand, since strands in hand lie side by
    side;  interlayer: paper between two layers [m];  bulge: >= 1, what the coil stands off the leg.

    A layer's height is bulge x overall, the next begins bulge x interlayer over it.  A turn runs straight along the
    four sides and bends round the corners in quarter circles: its length is that of the outline at the distance h of
    the layer's middle from the leg, 2 (tongue + stack) + 2 pi h (Steiner's formula for the outline of a convex
    figure at a distance).  Wire that does not hug the corners is longer: handbook mean turns of full windows are 2 to
    4 % over these (tests/published/test_former.py).  A part-filled layer is as high as a full one.  Raises ValueError.
    """
    if not (tongue > 0 and stack > 0 and overall > 0):
        raise ValueError("tongue, stack and overall diameter must be more than 0")
    if not (start >= 0 and interlayer >= 0 and bulge >= 1):
        raise ValueError("start and interlayer must not be negative, bulge not less than 1")
    if not layers or min(layers) < 1:
        raise ValueError(f"layers of {list(layers)} turns, expected at least one layer and 1 turn in each")
    height = bulge * overall
    pitch = height + bulge * interlayer
    built = []
    for number, turns in enumerate(layers):
        inner = start + number * pitch
        length = 2 * (tongue + stack) + 2 * math.pi * (inner + height / 2)
        built.append(LayerBuild(inner, inner + height, length, turns))
    return tuple(built)


def mean_turn(layers: Sequence[LayerBuild], first: int = 0, last: int | None = None) -> float:
    """Mean length [m] of the turns after turn `first` up to turn `last` (the end where None), counted from inside.

    Each layer counts by the turns that it has in that stretch: so a part-filled last layer counts for less, and the
    outer half of a winding has a longer turn, and more ohms, than the inner.  Raises ValueError.
    """
    total = sum(layer.turns for layer in layers)
    end = total if last is None else last
    if not 0 <= first < end <= total:
        raise ValueError(f"turns {first} to {end}, expected a stretch within 0 to {total}")
    length = 0.0
    begun = 0
    for layer in layers:
        within = min(end, begun + layer.turns) - max(first, begun)
        length += max(0, within) * layer.mean_turn
        begun += layer.turns
    return length / (end - first)


def window_fill(outer: float, window_width: float) -> float:
    """Part of the window's width that the build takes: height of its outer face over the leg [m] / width [m].

    Above 1 it does not fit.  Raises ValueError.
    """
    if not (outer >= 0 and window_width > 0):
        raise ValueError("build must not be negative, window width must be more than 0")
    return outer / window_width


def copper_area(turns: int, strands: int, diameter: float) -> float:
    """Copper [m2] that a winding puts through the window: turns x strands x pi/4 d2, d bare [m]. Raises ValueError."""
    if not (turns >= 0 and strands >= 1 and diameter > 0):
        raise ValueError("turns must not be negative, strands at least 1, diameter more than 0")
    return turns * strands * math.pi / 4 * diameter**2


def window_utilisation(copper: float, window_width: float, window_height: float) -> float:
    """Ku: copper of all windings [m2] over the window's area [m2].

    About 0.4 in a full window, handbook; 0.2 to 0.35 in small mains transformers (both from memory).
    Raises ValueError where the copper is more than the window.
    """
    if not (copper >= 0 and window_width > 0 and window_height > 0):
        raise ValueError("copper must not be negative, window width and height must be more than 0")
    window = window_width * window_height
    if copper > window:
        raise ValueError(f"{copper * 1e6:.4g} mm2 of copper in a window of {window * 1e6:.4g} mm2")
    return copper / window


def _mm(length: float) -> str:
    return f"{length * 1e3:.4g} mm"
