"""The course of a winding in RS-274, the open language of numerically controlled machines.

After T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274/NGC Interpreter, Version 3, NISTIR 6556 (2000), from
memory: `(MSG, ...)` is shown to the person, M0 waits for them, G4 P rests so many seconds, a line has at most 256
characters.

Feed.  In units per minute (G94) F is the speed along X, Y, Z as soon as one of them moves, and the rotary axis keeps
up: the spindle's speed would be F over the pitch, another one at each wire.  In inverse time (G93) F is how many times
a minute the move could be done, whatever moves with it, and stands on each G1 line.  So these programs use G93, and no
other way.
"""

from __future__ import annotations

import math
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence

from bench.design.plan import Direction
from bench.workshop.course import Place, Rest, Step, Stop, Wind
from bench.workshop.winder import Winder

__all__ = ["rs274_text"]

_INCH = 25.4e-3
_FEED_DECIMALS = 5
_LEAST_SPEED = 0.1
"""Slowest that NIST's interpreter moves along X, Y, Z under G93, in units a minute: what is slower it makes faster,
without a word (`MAX(0.1, length * F)` in its source; seen in what the interpreter of
tests/workshop/test_rs274_reader_and_interpreter.py made of such a line)."""
_MOST_LINE_NUMBER = 99_999
_SWAPPED = {ord(sign): words for sign, words in zip("();%ßΩμ", ("[", "]", ",", "/", "ss", "ohm", "u"), strict=True)}


def rs274_text(steps: Sequence[Step], winder: Winder, header: Sequence[str]) -> str:
    """The program; header: sentences that open it as comments.

    Axis words are absolute, so nothing that is rounded adds up: each place is within half of the last decimal.  Where
    the traverse turns round it first takes up its backlash with the spindle at rest: to the right it is where its word
    says, to the left it is commanded so much further.  Raises ValueError: a move so slow that its feed has no digits,
    or slower than the language's interpreter goes; a course that moves before it has stopped once.
    """
    moving = next((one for one in steps if isinstance(one, Stop | Place | Wind)), None)
    if not isinstance(moving, Stop):
        raise ValueError("the course moves before its first stop, and a program never starts by itself")
    writer = _Writer(winder)
    lines = [line for sentence in header for line in _comment(sentence, winder.program.longest_line)]
    blocks = list(writer.setup())
    for step in steps:
        blocks += writer.step(step)
    # The end of a program brings units per minute back by itself; a machine that doesn't do so is none the worse.
    blocks += ["G94", "M2"]
    if winder.program.line_numbers:
        blocks = _numbered(blocks)
    too_long = next((line for line in blocks if len(line) > winder.program.longest_line), None)
    if too_long is not None:
        raise ValueError(f"{too_long!r} is longer than the {winder.program.longest_line} characters of longest_line")
    return "\n".join([*lines, *blocks, ""])


class _Writer:
    """Knows where the machine stands: turns so far, and which flank of the traverse's play is closed."""

    def __init__(self, winder: Winder) -> None:
        self._winder = winder
        self._turned = 0
        self._position = 0.0
        self._direction: Direction = 0

    def setup(self) -> Iterator[str]:
        yield f"{'G20' if self._winder.traverse.units == 'inch' else 'G21'} G90 G93"

    def step(self, step: Step) -> Iterator[str]:
        match step:
            case Stop(message):
                yield from _message(message, self._winder.program.longest_line)
                yield "M0"
            case Rest(seconds):
                if seconds > 0:
                    yield f"G4 P{seconds:g}"
            case Place(position, direction):
                if self._play:
                    # Twice the play before the place, so that it is reached in the direction of winding.
                    yield f"G0 {self._traverse(position - direction * 2 * self._play, direction)}"
                yield f"G0 {self._traverse(position, direction)}"
                self._position, self._direction = position, direction
            case Wind():
                yield from self._wind(step)

    def _wind(self, step: Wind) -> Iterator[str]:
        if step.direction != self._direction and self._play:
            yield f"G0 {self._traverse(self._position, step.direction)}"
        way = abs(step.position - self._position) / self._unit
        self._turned += step.turns
        self._position, self._direction = step.position, step.direction
        feed = round(60 * step.speed / abs(step.turns), _FEED_DECIMALS)
        if feed <= 0:
            raise ValueError(
                f"{abs(step.turns)} turns at {60 * step.speed:.3g} a minute: a feed of less than "
                f"{10**-_FEED_DECIMALS:g} moves a minute has no digits"
            )
        spindle = self._winder.spindle
        if spindle.axis in "XYZ":
            way = math.hypot(way, step.turns * spindle.units_per_turn)
        if way * feed < _LEAST_SPEED:
            units = self._winder.traverse.units
            raise ValueError(
                f"{abs(step.turns)} turns at {60 * step.speed:.3g} a minute move the traverse by {way * feed:.2g} "
                f"{units} a minute, and an interpreter may not go slower than {_LEAST_SPEED} {units}: wind faster"
                + (", or write the program in mm" if units == "inch" else "")
            )
        turned = self._turned * spindle.units_per_turn * (1 if spindle.clockwise == "+" else -1)
        yield (
            f"G1 {self._traverse(step.position, step.direction)} "
            f"{spindle.axis}{_decimal(turned, self._winder.program.decimals)} F{_decimal(feed, _FEED_DECIMALS)}"
        )

    @property
    def _unit(self) -> float:
        """What the program counts along X, Y, Z [m]."""
        return _INCH if self._winder.traverse.units == "inch" else 1e-3

    @property
    def _play(self) -> float:
        return self._winder.traverse.backlash_mm * 1e-3

    def _traverse(self, position: float, direction: Direction) -> str:
        commanded = position if direction > 0 else position - self._play
        return f"{self._winder.traverse.axis}{_decimal(commanded / self._unit, self._winder.program.decimals)}"


def _decimal(value: float, decimals: int) -> str:
    """Never with an exponent: `1E3` would be read as two words."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _message(text: str, longest: int) -> Iterator[str]:
    for part in textwrap.wrap(_plain(text), width=longest - len("N99999 (MSG, )")):
        yield f"(MSG, {part})"


def _comment(text: str, longest: int) -> Iterator[str]:
    # A dash opens what goes on: no word out of a job file may stand first in a comment, where some are commands.
    parts = textwrap.wrap(_plain(text), width=longest - len("( -  )"))
    for number, part in enumerate(parts):
        yield f"( {'- ' if number else ''}{part} )"


def _plain(text: str) -> str:
    """What may stand in a comment: printable ASCII, no parenthesis (comments don't nest), no sign that ends a line."""
    flat = unicodedata.normalize("NFKD", " ".join(text.split()))
    swapped = flat.translate(_SWAPPED)
    return "".join(c if " " <= c <= "~" else "?" for c in swapped if not unicodedata.combining(c))


def _numbered(blocks: list[str]) -> list[str]:
    step = 10 if len(blocks) * 10 <= _MOST_LINE_NUMBER else 1
    if len(blocks) * step > _MOST_LINE_NUMBER:
        raise ValueError(f"{len(blocks)} lines, and line numbers end at {_MOST_LINE_NUMBER}: line_numbers = false")
    return [f"N{step * number} {block}" for number, block in enumerate(blocks, start=1)]
