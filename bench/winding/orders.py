"""What a person at the machine may say while a winding goes on, by one key or as a line, and what comes of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from bench.winding.layers import read_turns, turns_words
from bench.winding.session import WindingSession

__all__ = ["KEYS", "Act", "KeyOrder", "Order", "carried_out", "order_of"]


class Act(StrEnum):
    """As it is typed as a word."""

    NEXT = "next"
    HOLD = "hold"
    GO = "go"
    ADD = "add"
    DONE = "done"
    SET = "set"
    BACK = "back"
    LAYER = "layer"
    UNDO = "undo"
    TURN = "turn"
    NOTE = "note"
    END = "end"
    LEAVE = "quit"
    SAY = "say"
    SOUND = "sound"
    HELP = "help"


@dataclass(frozen=True)
class Order:
    """turns: what was said with it, None where nothing was;  text: a reason or a note."""

    act: Act
    turns: float | None = None
    text: str = ""


@dataclass(frozen=True)
class KeyOrder:
    """act;  asks: what must be typed after the key, in words;  says: what the key does, for the screen."""

    act: Act
    asks: tuple[str, ...]
    says: str


KEYS = {
    " ": KeyOrder(Act.NEXT, (), "done / hold / go on"),
    "\n": KeyOrder(Act.NEXT, (), "the same"),
    "h": KeyOrder(Act.HOLD, (), "hold: what the spindle turns is not counted"),
    "a": KeyOrder(Act.ADD, (), "go on, and count what the spindle turned on hold"),
    "s": KeyOrder(Act.SET, ("turns on the coil now", "how do you know"), "set the count"),
    "b": KeyOrder(Act.BACK, ("turns wound back",), "turns wound back"),
    "l": KeyOrder(Act.LAYER, (), "this layer is full here"),
    "u": KeyOrder(Act.UNDO, (), "the layer that was marked full last is not"),
    "o": KeyOrder(Act.TURN, (), "turns come off / on again"),
    "n": KeyOrder(Act.NOTE, ("note",), "note"),
    "v": KeyOrder(Act.SAY, (), "say the count"),
    "m": KeyOrder(Act.SOUND, (), "sounds off / on"),
    "e": KeyOrder(Act.END, ("why does it end here",), "the winding ends here"),
    "q": KeyOrder(Act.LEAVE, (), "leave; all is kept"),
    "?": KeyOrder(Act.HELP, (), "keys"),
}
"""By the key that is pressed."""

_WORDS = {"q": Act.LEAVE, "leave": Act.LEAVE, "": Act.NEXT, "?": Act.HELP}
_WITH_TURNS = re.compile(r"(\S+)(?:\s+(.*))?")


def order_of(line: str) -> Order:
    """The order in a typed line, such as `hold`, `set 412 counted again`, `back 3`; raises ValueError."""
    word, _, rest = line.strip().partition(" ")
    lower = word.lower()
    try:
        act = _WORDS.get(lower) or Act(lower)
    except ValueError:
        known = ", ".join(each for each in Act if each is not Act.SOUND)
        raise ValueError(f"{word[:20]!r} is no order, expected one of {known}") from None
    rest = rest.strip()
    if act not in (Act.SET, Act.BACK):
        return Order(act, None, rest)
    match = _WITH_TURNS.fullmatch(rest)
    if match is None:
        raise ValueError(f"{act} says nothing, expected turns, such as {act} 412" + (" why" if act is Act.SET else ""))
    text = (match[2] or "").strip()
    if act is Act.SET and not text:
        raise ValueError("set gives no reason, expected how you know, such as: set 412 counted again")
    return Order(act, read_turns(match[1]), text)


def carried_out(session: WindingSession, order: Order) -> str:
    """Does it, and says what was done; raises ValueError for what can't be.  The rest is the caller's: LEAVE, SAY,
    SOUND, HELP and NOTE."""
    match order.act:
        case Act.NEXT:
            return _next(session)
        case Act.HOLD:
            session.hold(order.text)
            return "on hold: what the spindle turns now is not counted"
        case Act.GO:
            return _go_on(session, adding=False)
        case Act.ADD:
            return _go_on(session, adding=True)
        case Act.DONE:
            name = session.settle()
            return f"done: {name}" if name else "nothing was waiting"
        case Act.SET:
            assert order.turns is not None
            if order.turns < 0:
                raise ValueError(f"{order.turns:g} turns on the coil, expected 0 or more")
            session.correct(order.turns, order.text)
            return f"set to {order.turns:g}: {order.text}"
        case Act.BACK:
            assert order.turns is not None
            session.wound_back(order.turns, order.text or "wound back")
            follows = "; what is turned back at the spindle comes off by itself" if session.counts_off else ""
            return f"{turns_words(order.turns)} taken back{follows}"
        case Act.LAYER:
            number = session.layer_full()
            return "the job has no layers here" if number is None else f"layer {number} ends here"
        case Act.UNDO:
            undone = session.layer_not_full()
            return "no layer was marked full" if undone is None else f"layer {undone} was not full there"
        case Act.TURN:
            session.turn_sense()
            return "turns come off now" if session.state.taking_off else "turns go on now"
        case Act.END:
            session.finish(order.text)
            return "the winding ends here"
    raise ValueError(f"{order.act} is nothing for the winding itself")


def _next(session: WindingSession) -> str:
    """What one key, or a foot switch, can mean: the thing that is due."""
    if session.state.hold is not None:
        return _go_on(session, adding=False)
    name = session.settle()
    if name is not None:
        return f"done: {name}"
    session.hold()
    return "on hold: what the spindle turns now is not counted"


def _go_on(session: WindingSession, *, adding: bool) -> str:
    hold = session.state.hold
    if hold is None:
        return "it was not on hold"
    session.go_on(adding=adding)
    return f"going on at {session.state.turns:.1f} turns"
