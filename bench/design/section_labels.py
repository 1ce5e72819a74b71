"""What is written beside a window section, and where it finds room."""

from __future__ import annotations

from collections.abc import Sequence

from bench.design.plan import PlannedScreen, PlannedWinding

__all__ = ["clipped", "entry", "in_mm", "scale_words", "spread"]


def spread(wanted: Sequence[float], least: float, most: float, gap: float) -> list[float]:
    """Rising places from `least` to `most`, `gap` apart, near the rising ones that are wanted."""
    places: list[float] = []
    for one in wanted:
        places.append(max(one, least if not places else places[-1] + gap))
    for number in range(len(places) - 1, -1, -1):
        highest = most if number == len(places) - 1 else places[number + 1] - gap
        places[number] = min(places[number], highest)
    return places


def entry(number: int, one: PlannedWinding | PlannedScreen, letters: int) -> list[str]:
    """A label's lines: in one where the paper is wide enough."""
    if isinstance(one, PlannedWinding):
        turns, wire = sum(layer.turns for layer in one.layers), one.winding.wire
        hand = f", {one.winding.strands} in hand" if one.winding.strands > 1 else ""
        layers = f"{len(one.layers)} layer" + ("s" if len(one.layers) > 1 else "")
        what = f"{turns} turns of {'' if wire is None else wire.name}{hand}, {layers}"
        head = f"{number}  {one.name}"
    else:
        head, what = f"{number}  {one.screen.name}", f"{one.screen.material}, not closed"
    whole = f"{head}: {what}"
    return [whole] if len(whole) <= letters else [clipped(head, letters), clipped(what, letters)]


def clipped(text: str, letters: int) -> str:
    """With dots where it is longer."""
    return text if len(text) <= letters else text[: letters - 3] + "..."


def in_mm(what: str, length: float) -> str:
    """`build 12.84 mm`; length [m]."""
    return f"{what}{length * 1e3:.4g} mm"


def scale_words(scale: float) -> str:
    """`3 : 1`, paper to thing."""
    return f"{scale:g} : 1" if scale >= 1 else f"1 : {1 / scale:.3g}"
