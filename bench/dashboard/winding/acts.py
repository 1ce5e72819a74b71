"""What can be done at the winding: before it, while a counter counts, while turns are typed, and at its end."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from bench.dashboard.desk import NOT_AT_THE_BENCH, Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.winding.due import turned_on_hold
from bench.dashboard.winding.hand_acts import HandActs
from bench.dashboard.winding.starting import Starting
from bench.winding.layers import read_turns
from bench.winding.orders import KEYS, Order
from bench.winding.orders import Act as Said
from bench.winding.progress import Progress

if TYPE_CHECKING:
    from bench.dashboard.winding.face import WindingFace

__all__ = ["WindingActs"]

_QT = {" ": "Space", "\n": "Return", "\t": "Tab"}
_FEW_WORDS = {
    Said.NEXT: "done / hold / go on",
    Said.SET: "set the count",
    Said.LEAVE: "leave, all is kept",
    Said.BACK: "wound back",
    Said.LAYER: "layer full",
    Said.UNDO: "not full",
    Said.TURN: "coming off",
    Said.NOTE: "note",
    Said.SAY: "say count",
    Said.SOUND: "sounds",
    Said.END: "ends here",
    Said.ADD: "go on, count them",
    Said.HOLD: "hold",
}
"""In the order in which they stand on screen; those that come and go are last, so that the others keep their place."""
_LARGE = (Said.NEXT, Said.SET, Said.LEAVE, Said.ADD)


class WindingActs:
    """Between the face and the desk."""

    def __init__(self, desk: Desk, face: WindingFace) -> None:
        self._desk, self._face = desk, face
        self._choosing = True
        self._was_winding = False
        self._counted: tuple[object, ...] | None = None
        self._hand = HandActs(desk, face)
        self._starting = Starting(desk, face, self._offer)
        foot = None if desk.bench.foot_switch is None else desk.bench.foot_switch.character
        self._foot = None if foot is None else _QT.get(foot, foot.upper())

    def show_state(self, state: Snapshot) -> bool:
        """Offer what can be done; whether the winding is still to be chosen."""
        winding = state.doing == "winding"
        if winding != self._was_winding:
            self._was_winding = winding
            # The end of a winding stands until somebody goes on to the next.
            self._choosing = not winding and state.progress is None
        self._hand.show_state(state)
        counted = (self._choosing, *_offered_by(state)) if winding and state.hand_count is None else None
        if counted is None or counted != self._counted:
            self._offer()
        self._counted = counted
        return self._choosing

    def arrived(self) -> None:
        """A person looks at it from now on; a command may have wound meanwhile."""
        self._starting.look_for_ports()
        if not self._desk.busy:
            self._desk.look_at_record()

    def press(self, key: str) -> None:
        """As if the key had been pressed."""
        act = next((one for one in self._face.acts if one.key == key), None)
        if act is None:
            return
        if isinstance(act.does, Question):
            self._face.put(act.does)
        else:
            act.does()

    def _offer(self) -> None:
        state = self._desk.state
        if self._was_winding and state.hand_count is not None:
            self._face.offer(self._hand.acts(state.hand_count))
        elif self._was_winding:
            self._face.offer(self._while_counted(state.progress))
        elif self._choosing:
            self._face.offer(self._starting.acts())
        else:
            self._face.offer((Act("Return", self._next_words(), self._choose_anew, strong=True, large=True),))

    def _next_words(self) -> str:
        following = self._face.start.choice.first_not_done
        return "to the windings" if following is None else f"next: {following.name}"

    def _choose_anew(self) -> None:
        self._choosing = True
        self._face.start.choice.choose_first()
        self._desk.look_at_record()
        self._face.renew()

    def _while_counted(self, progress: Progress | None) -> tuple[Act, ...]:
        key_of = {order.act: (key, order) for key, order in KEYS.items() if key != "\n"}
        acts = []
        for said, words in _FEW_WORDS.items():
            key, order = key_of[said]
            shown = _QT.get(key, key.upper())
            is_next = said is Said.NEXT
            if not is_next and (shown == self._foot or not _makes_sense(said, progress)):
                continue
            if order.asks:
                check = _no_turns if said in (Said.SET, Said.BACK) else None
                does: Question | partial[bool] = Question(order.asks, partial(self._typed, said), check=check)
            else:
                does = partial(self._desk.say, Order(said))
            also = (self._foot,) if is_next and self._foot not in (None, shown) else ()
            meant = _next_words(progress) if is_next else words
            acts.append(
                Act(shown, meant, does, strong=is_next, large=said in _LARGE, also=tuple(one for one in also if one))
            )
        return tuple(acts)

    def _typed(self, act: Said, answers: tuple[str, ...]) -> str:
        """What is wrong with what was typed; empty where it was said to the winding."""
        turns = None
        if act in (Said.SET, Said.BACK):
            problem = _no_turns(answers[0])
            if problem:
                return problem
            turns = read_turns(answers[0])
        if act is Said.SET and not answers[-1]:
            return "expected how you know, such as: counted again"
        text = "" if act is Said.BACK else answers[-1]
        return "" if self._desk.say(Order(act, turns, text)) else NOT_AT_THE_BENCH


def _no_turns(text: str) -> str:
    """What is wrong with turns as they were typed; empty where nothing is."""
    try:
        read_turns(text)
    except ValueError as problem:
        return str(problem)
    return ""


def _makes_sense(said: Said, progress: Progress | None) -> bool:
    """Whether it could do anything just now."""
    held = progress is not None and progress.held
    match said:
        case Said.HOLD:
            # else the one key does it
            return not held and progress is not None and bool(progress.waiting)
        case Said.ADD:
            return progress is not None and turned_on_hold(progress)
        case Said.LAYER | Said.UNDO:
            return progress is None or progress.layer is not None
    return True


def _next_words(progress: Progress | None) -> str:
    """What the one key means just now."""
    if progress is None:
        return _FEW_WORDS[Said.NEXT]
    if progress.held:
        return "go on without them" if turned_on_hold(progress) else "go on"
    if progress.waiting:
        return "done"
    return "hold"


def _offered_by(state: Snapshot) -> tuple[object, ...]:
    """What the acts of a winding that is counted depend on: not on each turn of it."""
    progress = state.progress
    if progress is None:
        return (None,)
    return tuple(_makes_sense(said, progress) for said in _FEW_WORDS), _next_words(progress)
