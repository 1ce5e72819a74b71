"""What can be done at the winding: begin, and while it goes on what the keys of the terminal do too."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from bench.dashboard.desk import Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.work.winding_work import WindingWork
from bench.sitting.problems import BadInput
from bench.winding.layers import read_turns
from bench.winding.orders import KEYS, Order
from bench.winding.orders import Act as Said

if TYPE_CHECKING:
    from bench.dashboard.winding.face import WindingFace

__all__ = ["WindingActs"]

_QT = {" ": "Space", "\n": "Return", "?": "?"}
_FEW_WORDS = {
    Said.NEXT: "done / hold / go on",
    Said.HOLD: "hold the count",
    Said.ADD: "go on, add turns",
    Said.SET: "set the count",
    Said.BACK: "turns wound back",
    Said.LAYER: "layer is full",
    Said.UNDO: "layer was not",
    Said.TURN: "turns come off",
    Said.NOTE: "note",
    Said.SAY: "say the count",
    Said.SOUND: "sounds on / off",
    Said.END: "winding ends here",
    Said.LEAVE: "leave, all is kept",
}


class WindingActs:
    """Between the face and the desk."""

    def __init__(self, desk: Desk, face: WindingFace) -> None:
        self._desk, self._face = desk, face
        self._choosing = True
        self._was_winding = False
        face.start.choice.chosen.connect(self._offer)

    def show_state(self, state: Snapshot) -> bool:
        """Offer what can be done; whether the winding is still to be chosen."""
        winding = state.doing == "winding"
        if winding != self._was_winding:
            self._was_winding = winding
            # The end of a winding stands until somebody goes on to the next.
            self._choosing = not winding and state.progress is None
        self._offer()
        return self._choosing

    def _offer(self) -> None:
        if self._was_winding:
            self._face.offer(self._while_winding())
        elif self._choosing:
            self._face.offer(self._before())
        else:
            self._face.offer((Act("Return", "to the windings", self._choose_anew, strong=True),))

    def _choose_anew(self) -> None:
        self._choosing = True
        self._desk.look_at_record()
        self._face.renew()

    def _before(self) -> tuple[Act, ...]:
        choice = self._face.start.choice
        counter = Act("C", "another counter", Question(("counter",), self._use_counter, self._counters()))
        move = (Act("Down", "next", partial(choice.step, 1)), Act("Up", "before", partial(choice.step, -1)))
        if choice.winding is None or choice.winding.turns is None:
            return (counter, *move)
        state = choice.state
        if state is not None and state.done is not None and not state.begun:
            why = f"wind {choice.winding.name} anew"
            return (Act("A", why, partial(self._begin, True)), counter, *move)
        words = "go on with" if state is not None and state.begun else "begin"
        return (
            Act("Return", f"{words} {choice.winding.name}", partial(self._begin, False), strong=True),
            counter,
            *move,
        )

    def _counters(self) -> tuple[str, ...]:
        return tuple(one.name for one in self._desk.bench.counter)

    def _use_counter(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return "expected PROFILE@PORT or a name"
        self._face.start.use_counter(answers[0])
        self._offer()
        return ""

    def _begin(self, again: bool) -> None:
        page, state = self._face.start, self._desk.state
        if page.choice.winding is None or state.job is None or state.path is None:
            return
        if not page.counter:
            self._face.put(Question(("counter",), partial(self._use_and_begin, again), self._counters()))
            return
        try:
            self._desk.begin(
                WindingWork(
                    state.path, state.job, self._desk.bench, page.choice.winding.name, page.counter, again=again
                )
            )
        except BadInput as problem:
            self._desk.tell(str(problem), grave=True)

    def _use_and_begin(self, again: bool, answers: tuple[str, ...]) -> str:
        problem = self._use_counter(answers)
        if not problem:
            self._begin(again)
        return problem

    def _while_winding(self) -> tuple[Act, ...]:
        acts = []
        for key, order in KEYS.items():
            words = _FEW_WORDS.get(order.act)
            if words is None or key == "\n":
                continue
            shown = _QT.get(key, key.upper())
            if order.asks:
                does: Question | partial[None] = Question(order.asks, partial(self._typed, order.act))
            else:
                does = partial(self._desk.say, Order(order.act))
            acts.append(Act(shown, words, does, strong=key == " "))
        return tuple(acts)

    def _typed(self, act: Said, answers: tuple[str, ...]) -> str:
        """What is wrong with what was typed; empty where it was said to the winding."""
        turns = None
        if act in (Said.SET, Said.BACK):
            try:
                turns = read_turns(answers[0])
            except ValueError as problem:
                return str(problem)
        if act is Said.SET and not answers[-1]:
            return "expected how you know, such as: counted again"
        text = "" if act is Said.BACK else answers[-1]
        self._desk.say(Order(act, turns, text))
        return ""
