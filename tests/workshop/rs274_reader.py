"""A small reader of RS-274/NGC, written from the language and not from our writer: it says what a machine would do.

Words, groups and order after NISTIR 6556 (from memory). What it doesn't know it refuses: nothing is skipped over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

AXES = "XYZABC"
LONGEST = 256
_GROUPS = {0: "motion", 1: "motion", 20: "units", 21: "units", 90: "distance", 91: "distance", 93: "feed", 94: "feed"}
_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


class Refused(ValueError):
    """What the reader does not know, or what the language forbids."""


@dataclass(frozen=True)
class Moved:
    """A move: where every axis was and is (mm or degrees), how long it took [min]; None: as fast as it can."""

    before: dict[str, float]
    after: dict[str, float]
    minutes: float | None
    words: str


@dataclass(frozen=True)
class Waited:
    """M0, with the messages since the last one."""

    messages: tuple[str, ...]


@dataclass(frozen=True)
class Dwelt:
    seconds: float


@dataclass
class Machine:
    """Modal state, and all that was done."""

    at: dict[str, float] = field(default_factory=lambda: dict.fromkeys(AXES, 0.0))
    modes: dict[str, int | None] = field(
        default_factory=lambda: {"motion": None, "units": 21, "distance": 90, "feed": 94}
    )
    rate: float | None = None
    done: list[Moved | Waited | Dwelt] = field(default_factory=list)
    comments: list[str] = field(default_factory=list)
    messages: list[str] = field(default_factory=list)
    ended: bool = False


def replay(text: str) -> Machine:
    """Run a program; raises Refused."""
    machine = Machine()
    for number, line in enumerate(text.splitlines(), start=1):
        try:
            _line(machine, line)
        except Refused as problem:
            raise Refused(f"line {number}, {line!r}: {problem}") from None
    if not machine.ended:
        raise Refused("the program does not end with M2")
    return machine


def _line(machine: Machine, line: str) -> None:
    if len(line) > LONGEST:
        raise Refused(f"{len(line)} characters, at most {LONGEST}")
    if not line.isascii():
        raise Refused("not ASCII")
    code = _without_comments(machine, line)
    if machine.ended and code:
        raise Refused("after the end of the program")
    words = _words(code)
    if words:
        _block(machine, words)


def _without_comments(machine: Machine, line: str) -> str:
    code, rest = "", line
    while "(" in rest:
        before, _, rest = rest.partition("(")
        inside, closed, rest = rest.partition(")")
        if not closed or "(" in inside:
            raise Refused("a comment that is not closed, or one in another")
        code += before
        text = inside.strip()
        if text.upper().startswith("MSG,"):
            machine.messages.append(text[4:].strip())
        else:
            machine.comments.append(text)
    if ")" in rest:
        raise Refused("a comment that is closed and was not opened")
    return re.sub(r"\s", "", code + rest).upper()


def _words(code: str) -> list[tuple[str, float]]:
    words, place = [], 0
    while place < len(code):
        match = _WORD.match(code, place)
        if match is None:
            raise Refused(f"no word at {code[place:]!r}")
        words.append((match.group(1), float(match.group(2))))
        place = match.end()
    if any(letter == "N" for letter, _ in words[1:]):
        raise Refused("a line number that is not first")
    if words and words[0][0] == "N":
        _, number = words.pop(0)
        if number != int(number) or not 0 <= number <= 99_999:
            raise Refused(f"line number {number}")
    return words


def _block(machine: Machine, words: list[tuple[str, float]]) -> None:
    """In the order of the language: feed mode, feed, dwell, units, distance mode, motion, stop."""
    commands = [(letter, value) for letter, value in words if letter in "GM"]
    rest = [(letter, value) for letter, value in words if letter not in "GM"]
    values = dict(rest)
    if len(values) != len(rest):
        raise Refused("a word twice")
    unknown = sorted(set(values) - set(AXES) - {"F", "P"})
    if unknown:
        raise Refused(f"unknown word {', '.join(unknown)}")
    groups: set[str] = set()
    stop, dwell = None, False
    for letter, value in commands:
        if letter == "M" and value in (0, 2) and stop is None:
            stop = int(value)
        elif letter == "G" and value == 4:
            dwell = True
        elif letter == "G" and value in _GROUPS:
            group = _GROUPS[int(value)]
            if group in groups:
                raise Refused(f"two words of the group {group}")
            groups.add(group)
            if group == "feed" and machine.modes["feed"] != int(value):
                machine.rate = None
            machine.modes[group] = int(value)
        else:
            raise Refused(f"unknown word {letter}{value:g}")
    if "F" in values:
        if values["F"] <= 0:
            raise Refused("a feed of nothing")
        machine.rate = values["F"]
    if dwell != ("P" in values):
        raise Refused("G4 without P, or P without G4")
    if dwell:
        if values["P"] < 0 or set(values) & set(AXES):
            raise Refused("a dwell of less than nothing, or one with axis words")
        machine.done.append(Dwelt(values["P"]))
    if set(values) & set(AXES):
        _move(machine, {axis: values[axis] for axis in AXES if axis in values}, "F" in values)
    elif "motion" in groups:
        raise Refused("a motion without an axis")
    if stop == 0:
        machine.done.append(Waited(tuple(machine.messages)))
        machine.messages.clear()
    machine.ended = stop == 2


def _move(machine: Machine, words: dict[str, float], has_feed: bool) -> None:
    if machine.modes["motion"] is None:
        raise Refused("axis words before G0 or G1")
    scale = 25.4 if machine.modes["units"] == 20 else 1.0
    after = dict(machine.at)
    for axis, value in words.items():
        value *= scale if axis in "XYZ" else 1.0
        after[axis] = value + (after[axis] if machine.modes["distance"] == 91 else 0.0)
    minutes = None
    if machine.modes["motion"] == 1:
        if machine.modes["feed"] == 93 and not has_feed:
            raise Refused("inverse time without a feed on the line")
        if machine.rate is None:
            raise Refused("G1 without a feed")
        minutes = 1 / machine.rate if machine.modes["feed"] == 93 else _way(machine.at, after, scale) / machine.rate
    machine.done.append(Moved(dict(machine.at), after, minutes, "".join(words)))
    machine.at = after


def _way(before: dict[str, float], after: dict[str, float], scale: float) -> float:
    """What the feed of G94 counts: the way along X, Y, Z where any of them moves, else the rotary one."""
    straight = sum((after[axis] - before[axis]) ** 2 for axis in "XYZ") ** 0.5 / scale
    return straight or sum((after[axis] - before[axis]) ** 2 for axis in "ABC") ** 0.5
