"""A winding counted by hand: turns typed layer by layer."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from bench.job.winding import Winding

__all__ = ["LayerCount", "read_layer", "read_turns"]

# Strict: float() takes "nan" and "1_0" as well.
_TURNS = re.compile(r"\s*[+-]?\d{1,6}(?:[.,]\d{0,3})?\s*(?:t|turns?)?\s*")


@dataclass(frozen=True)
class LayerCount:
    """What was typed so far: layers done, and the turns in all of them."""

    winding: Winding
    target: int
    layers_done: int = 0
    turns: float = 0.0

    def with_layer(self, turns: float) -> LayerCount:
        """One more entry; a negative one takes turns back and is no layer. Raises ValueError below zero turns."""
        if self.turns + turns < 0:
            raise ValueError(f"{-turns:g} turns can't be taken back, expected at most the {self.turns:g} that are on")
        return replace(self, turns=self.turns + turns, layers_done=self.layers_done + (1 if turns > 0 else 0))

    @property
    def met(self) -> bool:
        """Whether the target is reached, and passed by less than half a turn."""
        return self.target <= self.turns < self.target + 0.5

    def question(self) -> str:
        """What to ask for next, with what the sheet says of that layer."""
        number = self.layers_done + 1
        layers = self.winding.layers
        sheet = f" (sheet: {layers[number - 1]})" if number <= len(layers) else ""
        return f"{self.winding.name}, turns in layer {number}{sheet}"

    def said(self) -> str:
        """Where the winding stands, and what disagrees with the sheet."""
        layers = self.winding.layers
        due = sum(layers[: self.layers_done]) if layers and self.layers_done <= len(layers) else None
        note = ""
        if due is not None and due != self.turns:
            note = f"; the sheet has {due} here, {self.turns - due:+g}"
        layers_word = "layer" if self.layers_done == 1 else "layers"
        return f"{self.turns:g} turns in {self.layers_done} {layers_word}, {self.target - self.turns:g} to go{note}"


def read_turns(text: str) -> float:
    """A number of turns as typed, such as `84`, `83,5` or `-3`; raises ValueError."""
    if not _TURNS.fullmatch(text):
        raise ValueError(f"{text!r} is no number of turns, expected such as 84, 83.5, or -3 for turns taken back")
    return float(text.replace(",", ".").rstrip("turns \t"))


def read_layer(text: str, target: int) -> float:
    """Turns of a layer as typed, such as `84`, `83.5` or `-3` for turns taken back; raises ValueError."""
    turns = read_turns(text)
    if not (-target <= turns <= 2 * target) or turns == 0:
        raise ValueError(f"{turns:g} turns in one layer of a winding of {target}, expected between 1 and {target}")
    return turns
