"""What the person at the machine is to do now, in a head, a line and what goes with it, and the key for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bench.dashboard.parts.look import Ink, Shape
from bench.winding.course import Mark, MarkKind
from bench.winding.progress import Progress, Standing
from bench.winding.sides import WindingResult

__all__ = ["Due", "due_at", "due_at_the_end", "time_words", "turned_on_hold"]

_TURNED = 0.05
"""Turns of the spindle on hold that are worth a word."""


_LATE = 5.0
"""Turns past its place after which a thing is no more to be done just now, but overdue."""


@dataclass(frozen=True)
class Due:
    """head: one word or two, read first;  words: what it is;  more: what to do;  key: as Qt names it, empty where no
    key is for it;  does: what the key means;  urgent: nothing else is to be done before."""

    head: str
    words: str
    more: str = ""
    key: str = ""
    does: str = ""
    shape: Shape = Shape.NONE
    ink: Ink = Ink.TEXT
    ground: Ink = Ink.CARD
    urgent: bool = False


def due_at(progress: Progress | None, *, away: bool, by_hand: bool = False) -> Due:
    """While it is wound.  away: no line comes from the counter;  by_hand: turns are typed."""
    if away:
        return Due(
            "NO COUNT",
            "no line comes from the counter",
            "Plug its cable in again; it is looked for all the time, and the board keeps the count.",
            shape=Shape.CROSS, ink=Ink.BAD, ground=Ink.BAD_PALE, urgent=True,
        )  # fmt: skip
    if progress is None:
        return Due(
            "no count yet", "", "Is the board powered? Does the profile match it?", shape=Shape.RING, ink=Ink.QUIET
        )
    if progress.held:
        return _held(progress)
    if progress.standing is Standing.PAST:
        return _past(progress)
    if progress.waiting:
        return _waiting(progress, keyed=not by_hand)
    if progress.taking_off:
        return Due(
            "TURNS COME OFF", "each turn of the spindle takes one off", "The key says when they go on again.",
            "O", "on again", Shape.BANG, Ink.TROUBLE, Ink.TROUBLE_PALE, urgent=True,
        )  # fmt: skip
    mark = progress.next_mark
    more = "" if mark is None else ", ".join(mark.do)
    if progress.near and not by_hand:
        return Due("SOON", progress.next_event, more, shape=Shape.BANG, ink=Ink.COPPER, ground=Ink.DOUBT_PALE)
    return Due("next", progress.next_event, more, ink=Ink.QUIET)


def due_at_the_end(result: WindingResult) -> Due:
    """What it ended with, and what is still to be done to it."""
    one = result.progress
    if one is None:
        return Due("LEFT", "nothing was counted", shape=Shape.DASH, ink=Ink.QUIET)
    interval = "" if one.certain else f", between {one.low:.1f} and {one.high:.1f}"
    said = f"{one.winding}: {one.turns:.1f} of {one.target} turns{interval}"
    if result.left:
        return Due(
            "LEFT", said, "All of it is kept, and it goes on from there.", shape=Shape.DASH, ink=Ink.TROUBLE,
            ground=Ink.TROUBLE_PALE,
        )  # fmt: skip
    more, open_ends = _still_to_do(one.waiting)
    if result.met:
        return Due("WOUND", said, more, shape=Shape.TICK, ink=Ink.GOOD, ground=Ink.GOOD_PALE, urgent=bool(open_ends))
    return Due(
        "ENDED", said, more, shape=Shape.QUERY, ink=Ink.DOUBT, ground=Ink.DOUBT_PALE, urgent=bool(open_ends)
    )  # fmt: skip


def time_words(seconds: float | None) -> str:
    """A time to go [s]: `3 min 20 s`, `40 s`, `1 h 05 min`; a dash where it is not known."""
    if seconds is None:
        return "–"
    whole = round(seconds)
    if whole >= 3600:
        return f"{whole // 3600} h {whole % 3600 // 60:02} min"
    return f"{whole // 60} min {whole % 60:02} s" if whole >= 60 else f"{whole} s"


def turned_on_hold(progress: Progress) -> bool:
    """Whether the spindle turned since the count stands still, so that a person has to say what becomes of it."""
    return progress.held and abs(progress.left_out) >= _TURNED


def _past(progress: Progress) -> Due:
    """Before anything else that waits: what is made fast now would be made fast in the wrong place."""
    missed = [mark for mark in progress.waiting if mark.kind is not MarkKind.TARGET]
    more = f"Not done yet: {_names(missed)}." if missed else ""
    back = f"take {-progress.to_go:.1f} turns back"
    return Due("TOO MANY", back, more, shape=Shape.CROSS, ink=Ink.BAD, ground=Ink.BAD_PALE, urgent=True)


def _held(progress: Progress) -> Due:
    turned = turned_on_hold(progress)
    more = "A: go on, and count them." if turned else "What the spindle turns now is not counted."
    words = f"the spindle turned {progress.left_out:+.1f} since" if turned else "the count stands still"
    if progress.waiting:
        more += f" Not done yet: {', '.join(one.name for one in progress.waiting)}."
    does = "go on without them" if turned else "go on"
    return Due(
        "ON HOLD", words, more, "Space", does, Shape.DASH, Ink.TROUBLE, Ink.TROUBLE_PALE, urgent=True
    )  # fmt: skip


def _waiting(progress: Progress, *, keyed: bool) -> Due:
    """On a dark ground, as nothing else is: it is what the hands are to do."""
    marks = progress.waiting
    first, behind = marks[0], marks[1:]
    more = ", ".join(first.do)
    if behind:
        more += f"{'; ' if more else ''}not done either: {_names(behind)}"
    ago = progress.turns - first.turn
    late = ago > _LATE
    words = f"{first.name}, {ago:.0f} turns ago" if late else first.name
    key, does = ("Space", "done") if keyed else ("", "")
    return Due("OVERDUE" if late else "NOW", words, more, key, does, Shape.BANG, Ink.COPPER, Ink.TEXT, urgent=True)


def _still_to_do(waiting: Sequence[Mark]) -> tuple[str, str]:
    """What the end asks for, whole, then what was never said to be done by its names; and the same names alone."""
    at_the_end = ", ".join(do for mark in waiting if mark.kind is MarkKind.TARGET for do in mark.do)
    others = _names([mark for mark in reversed(waiting) if mark.kind is not MarkKind.TARGET])
    parts = []
    if at_the_end:
        parts.append(f"Now: {at_the_end}.")
    if others:
        parts.append(f"Never said to be done: {others}.")
    return " ".join(parts) or "Nothing is left to do on it.", at_the_end or others


def _names(marks: Sequence[Mark]) -> str:
    """Of several ends of layers only the numbers: `tap centre, ends of layers 2, 3, 5`."""
    layers = [mark.name for mark in marks if mark.kind is MarkKind.LAYER_END]
    names = [mark.name for mark in marks if mark.kind is not MarkKind.LAYER_END]
    if len(layers) > 1:
        layers = ["ends of layers " + ", ".join(name.rpartition(" ")[2] for name in layers)]
    return ", ".join([*names, *layers])
