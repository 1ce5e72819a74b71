"""What can be done while a winding is counted by hand: the line for the next layer is there by itself."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from bench.dashboard.desk import NOT_AT_THE_BENCH, Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.work.typed_winding_work import TypedEntry
from bench.sitting.typed_winding import read_typed
from bench.winding.layers import LayerCount
from bench.winding.orders import Act as Said
from bench.winding.orders import Order

if TYPE_CHECKING:
    from bench.dashboard.winding.face import WindingFace

__all__ = ["HandActs"]

_EXAMPLES = "84: turns of the layer; -3: taken back; =412: a dial shows"


class HandActs:
    """After each entry it asks for the next, until somebody leaves the line with Esc."""

    def __init__(self, desk: Desk, face: WindingFace) -> None:
        self._desk, self._face = desk, face
        self._asked_for: LayerCount | None = None

    def show_state(self, state: Snapshot) -> None:
        count = state.hand_count if state.doing == "winding" else None
        if count is None:
            self._asked_for = None
            return
        if self._asked_for is not count:
            self._asked_for = count
            if not count.met:
                self._face.put(self._question(count))

    def acts(self, count: LayerCount) -> tuple[Act, ...]:
        words = "what the dial shows" if count.by_dial else f"turns of layer {count.layers_done + 1}"
        return (
            Act("Return", words, self._question(count), strong=True, large=True),
            Act("N", "note", Question(("note",), self._noted)),
            Act("Q", "leave, all is kept", partial(self._desk.say, Order(Said.LEAVE)), large=True),
        )

    def _question(self, count: LayerCount) -> Question:
        return Question((f"{count.question().rstrip('= ')}   ({_EXAMPLES})",), partial(self._typed, count))

    def _typed(self, count: LayerCount, answers: tuple[str, ...]) -> str:
        if answers[0].lower() in ("q", "quit"):
            return _taken(self._desk.say(Order(Said.LEAVE)))
        try:
            typed = read_typed(count, answers[0])
        except ValueError as problem:
            return str(problem)
        if typed.falls:
            asks = f"{count.turns:g} before, and the dial shows {typed.after.turns:g}: did turns come off? (y, n)"
            self._face.put(Question((asks,), partial(self._sure, count, answers[0])))
            return ""
        return _taken(self._desk.say(TypedEntry(answers[0])))

    def _sure(self, count: LayerCount, text: str, answers: tuple[str, ...]) -> str:
        """A dial hardly falls by so much as it does where a digit slipped."""
        if answers[0].lower() in ("y", "yes"):
            return _taken(self._desk.say(TypedEntry(text, sure=True)))
        if answers[0].lower() in ("n", "no"):
            self._face.put(self._question(count))
        else:
            return "expected y or n"
        return ""

    def _noted(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return "expected a few words"
        return _taken(self._desk.say(Order(Said.NOTE, None, answers[0])))


def _taken(said: bool) -> str:
    return "" if said else NOT_AT_THE_BENCH
