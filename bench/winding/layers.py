"""A winding counted by hand: turns typed layer by layer."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from bench.job.winding import Winding

__all__ = ["LayerCount", "read_dial", "read_layer", "read_turns", "turns_words"]

# Strict: float() takes "nan" and "1_0" as well.
_TURNS = re.compile(r"\s*[+-]?\d{1,6}(?:[.,]\d{0,3})?\s*(?:t|turns?)?\s*")


@dataclass(frozen=True)
class LayerCount:
    """What was typed so far: layers done, and the turns in all of them; by_dial: read off a machine, layers or not."""

    winding: Winding
    target: int
    layers_done: int = 0
    turns: float = 0.0
    by_dial: bool = False

    def with_layer(self, turns: float) -> LayerCount:
        """One more entry; a negative one takes turns back and is no layer. Raises ValueError below zero turns."""
        if self.turns + turns < 0:
            raise ValueError(_too_many_back(turns, self.turns))
        return replace(self, turns=self.turns + turns, layers_done=self.layers_done + (1 if turns > 0 else 0))

    def with_dial(self, turns: float) -> LayerCount:
        """The machine's own counter shows so many turns."""
        return replace(self, turns=turns, by_dial=True)

    @property
    def met(self) -> bool:
        """Whether the target is reached, and passed by less than half a turn."""
        return self.target <= self.turns < self.target + 0.5

    def question(self) -> str:
        """What to ask for next, with what the sheet says of that layer."""
        if self.by_dial:
            return f"{self.winding.name}, the dial shows = "
        number = self.layers_done + 1
        layers = self.winding.layers
        sheet = f" (sheet: {layers[number - 1]})" if number <= len(layers) else ""
        return f"{self.winding.name}, turns in layer {number}{sheet}"

    def said(self) -> str:
        """Where the winding stands, and what disagrees with the sheet."""
        layers = self.winding.layers
        known = bool(layers) and self.layers_done <= len(layers) and not self.by_dial
        due = sum(layers[: self.layers_done]) if known else None
        note = ""
        if due is not None and due != self.turns:
            note = f"; the sheet has {due} here, {self.turns - due:+g}"
        over = self.turns - self.target
        left = f"{over:g} past the target" if over > 0 else f"{self.target - self.turns:g} to go"
        return f"{self.standing()}, {left}{note}"

    def standing(self) -> str:
        """Turns and layers so far, such as `80 turns in 2 layers`."""
        if self.by_dial:
            return f"{turns_words(self.turns)} on the dial"
        return f"{turns_words(self.turns)} in {self.layers_done} {'layer' if self.layers_done == 1 else 'layers'}"


def read_turns(text: str) -> float:
    """A number of turns as typed, such as `84`, `83,5` or `-3`; raises ValueError."""
    if not _TURNS.fullmatch(text):
        raise ValueError(f"{text!r} is no number of turns, expected such as 84, 83.5, or -3 for turns taken back")
    return float(text.replace(",", ".").rstrip("turns \t"))


def read_dial(text: str) -> float | None:
    """The turns that a machine's own counter shows, typed behind an equals sign, such as `=412`; None for another
    entry; raises ValueError for an equals sign with no number of turns behind it."""
    stripped = text.strip()
    if not stripped.startswith("="):
        return None
    turns = read_turns(stripped[1:])
    if turns < 0:
        raise ValueError(f"{turns:g} turns on the dial, expected 0 or more")
    return turns


def read_layer(text: str, target: int, on: float = 0.0) -> float:
    """Turns of a layer as typed, such as `84`, `83.5` or `-3` for turns taken back; raises ValueError.

    on: turns that are on, of which all may be taken back.  More than twice the target at once is a slip of the hand.
    """
    turns = read_turns(text)
    if turns < 0 and on + turns < 0:
        raise ValueError(_too_many_back(turns, on))
    if turns == 0 or turns > 2 * target:
        due = f"more than 0, up to {2 * target}" + (f", or to -{on:g} for turns taken back" if on > 0 else "")
        raise ValueError(f"{turns_words(turns)} in one layer of a winding of {target}, expected {due}")
    return turns


def turns_words(turns: float) -> str:
    """`1 turn`, `1.5 turns`, `84 turns`."""
    return f"{turns:g} {'turn' if turns == 1 else 'turns'}"


def _too_many_back(turns: float, on: float) -> str:
    return f"{turns_words(-turns)} can't be taken back, expected at most the {on:g} that are on"
