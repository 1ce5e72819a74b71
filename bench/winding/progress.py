"""Where a winding stands: turns to go, layer, turn in the layer, and what comes next."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.job.winding import Winding
from drivers.counting import Count

__all__ = ["Progress", "Standing", "progress_of"]

WARN_TURNS = 10.0
"""Turns before the target from which the winder is warned."""


class Standing(StrEnum):
    """Of the count against the target; an interval that reaches over a border is `unsure`."""

    WINDING = "winding"
    NEARLY = "nearly there"
    AT_TARGET = "at target"
    PAST = "past target"
    UNSURE = "count unsure"


@dataclass(frozen=True)
class Progress:
    """turns, low, high: the count;  to_go: to the target, negative past it;  layer: from 1, None where the job has no
    layers;  turn_in_layer, turns_of_layer;  next_event: what comes next, in words."""

    winding: str
    turns: float
    low: float
    high: float
    target: int
    to_go: float
    standing: Standing
    layer: int | None
    layers: int
    turn_in_layer: float
    turns_of_layer: int
    next_event: str
    speed: float
    at: float

    @property
    def certain(self) -> bool:
        return self.low == self.high


def progress_of(winding: Winding, target: int, count: Count) -> Progress:
    """The progress that a count means for a winding with `target` turns.

    The target is met when the count lies within half a turn of it: a turn counter's edge does not fall where the
    turn is complete to the degree.
    """
    layer, before = _layer(winding.layers, count.turns)
    turns_of_layer = winding.layers[layer - 1] if layer is not None else 0
    return Progress(
        winding=winding.name,
        turns=count.turns,
        low=count.low,
        high=count.high,
        target=target,
        to_go=target - count.turns,
        standing=_standing(count, target),
        layer=layer,
        layers=len(winding.layers),
        turn_in_layer=count.turns - before,
        turns_of_layer=turns_of_layer,
        next_event=_next_event(winding, target, count.turns, layer, before),
        speed=count.speed,
        at=count.at,
    )


def _standing(count: Count, target: int) -> Standing:
    if count.low > target + 0.5:
        return Standing.PAST
    if target - 0.5 <= count.low and count.high <= target + 0.5:
        return Standing.AT_TARGET
    if count.high - count.low > 0.5 and count.high >= target - 0.5:
        return Standing.UNSURE
    return Standing.NEARLY if target - count.high <= WARN_TURNS else Standing.WINDING


def _layer(layers: tuple[int, ...], turns: float) -> tuple[int | None, int]:
    """Number of the layer that is being wound, and the turns in the layers before it."""
    if not layers:
        return None, 0
    before = 0
    for number, turns_of_layer in enumerate(layers, start=1):
        if turns < before + turns_of_layer or number == len(layers):
            return number, before
        before += turns_of_layer
    raise AssertionError("the last layer ends the loop")


def _next_event(winding: Winding, target: int, turns: float, layer: int | None, before: int) -> str:
    """The nearest of: a tap, the end of the layer, the target."""
    events = [(float(target), "target")]
    events += [(float(tap.turn), f"tap {tap.name}") for tap in winding.taps]
    if layer is not None and layer < len(winding.layers):
        events.append((float(before + winding.layers[layer - 1]), f"end of layer {layer}"))
    ahead = [event for event in events if event[0] > turns + 0.25]
    if not ahead:
        return "nothing more to wind"
    at, what = min(ahead)
    return f"{what} in {at - turns:.1f} turns"
