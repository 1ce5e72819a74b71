"""What the lines of a counter say: bytes in, counts or damage out, no I/O.

A framed line is `hall 1 BOOT LINE MS EDGES PER CRC`, with the board's doubt in edges behind PER where it has one; a
greeting `hall hello FIRMWARE sensors=N magnets=N boot=N board=ID CRC`; an answer `hall ok WORD ... CRC` or `hall no
REASON CRC`. All end in LF or CR LF; numbers wrap at 2^30. The check is CRC-16 with polynomial 0x1021, start value
0xFFFF, not reflected (catalogued as CRC-16/IBM-3740, long known as CCITT-FALSE; "123456789" gives 0x29B1), over
everything before the last blank.
"""

from __future__ import annotations

import binascii
import re
from typing import NamedTuple, Protocol

from drivers.counter_profile import CounterProfile, PlainForm
from drivers.lines import LineAssembler, Overlong

__all__ = [
    "Answer",
    "Damage",
    "Decoded",
    "Decoder",
    "HallDecoder",
    "HallLine",
    "Hello",
    "PlainDecoder",
    "PlainLine",
    "check_sum",
    "decoder_for",
]

_LINE = re.compile(rb"hall 1 (\d{1,10}) (\d{1,10}) (\d{1,10}) (-?\d{1,10}) (\d{1,4})(?: (\d{1,9}))? ([0-9A-F]{4})")
_HELLO = re.compile(
    rb"hall hello ([!-~]{1,32}) sensors=([12]) magnets=(\d{1,3}) boot=(\d{1,10})(?: board=([!-~]{1,16}))? ([0-9A-F]{4})"
)
_ANSWER = re.compile(rb"hall (ok|no) ([ -~]{1,100}) ([0-9A-F]{4})")


class HallLine(NamedTuple):
    """A framed line. ms: board clock. edges: signed count since the board's start. per: edges a turn.

    doubt: edges by which the board itself can't vouch for its count, either way.
    """

    boot: int
    line: int
    ms: int
    edges: int
    per: int
    raw: str
    doubt: int = 0


class Hello(NamedTuple):
    """What a board says of itself at its start and when asked."""

    firmware: str
    sensors: int
    magnets: int
    boot: int
    raw: str
    board: str = ""


class Answer(NamedTuple):
    """What a board says to a command: whether it was taken, and its words."""

    taken: bool
    words: str
    raw: str


class PlainLine(NamedTuple):
    """The integer of a line of text, in the unit of the profile."""

    number: int
    raw: str


class Damage(NamedTuple):
    """A line that can't be used, with the reason."""

    raw: str
    reason: str


Decoded = HallLine | Hello | Answer | PlainLine | Damage


class Decoder(Protocol):
    """Bytes in, lines out."""

    def feed(self, data: bytes) -> list[Decoded]:
        """What these bytes complete, in order."""

    def restart(self) -> None:
        """The line was opened anew: what had begun will not be finished."""


def check_sum(data: bytes) -> int:
    """CRC-16 of the framed lines."""
    return binascii.crc_hqx(data, 0xFFFF)


class HallDecoder:
    """Framed lines; what does not match in full and in its check sum is damage."""

    def __init__(self, line_limit: int = 120) -> None:
        self._lines = LineAssembler(b"\n", line_limit)

    def restart(self) -> None:
        self._lines.clear()

    def feed(self, data: bytes) -> list[Decoded]:
        found: list[Decoded] = []
        for line in self._lines.feed(data):
            if isinstance(line, Overlong):
                found.append(Damage(_readable(line.head), "too long for a line"))
            elif line:
                found.append(_hall_line(line))
        return found


def _hall_line(line: bytes) -> Decoded:
    match = _LINE.fullmatch(line)
    if match is None:
        return _other_line(line)
    boot, number, ms, edges, per, doubt, crc = match.groups()
    if binascii.crc_hqx(line[:-5], 0xFFFF) != int(crc, 16):
        return Damage(_readable(line), "check sum does not fit")
    if per == b"0":
        return Damage(_readable(line), "no edges per turn")
    return HallLine(int(boot), int(number), int(ms), int(edges), int(per), line.decode("ascii"), int(doubt or 0))


def _other_line(line: bytes) -> Decoded:
    hello, answer = _HELLO.fullmatch(line), _ANSWER.fullmatch(line)
    if hello is None and answer is None:
        return Damage(_readable(line), "not a line of this board")
    if check_sum(line[:-5]) != int(line[-4:], 16):
        return Damage(_readable(line), "check sum does not fit")
    text = line.decode("ascii")
    if hello is not None:
        firmware, sensors, magnets, boot, board, _ = hello.groups()
        known = (board or b"").decode("ascii")
        return Hello(firmware.decode("ascii"), int(sensors), int(magnets), int(boot), text, known)
    assert answer is not None
    return Answer(answer[1] == b"ok", answer[2].decode("ascii"), text)


class PlainDecoder:
    """Lines of text with an integer in them. The first line after opening may have lost its head: skipped."""

    def __init__(self, form: PlainForm, line_limit: int = 80) -> None:
        self._form = form
        self._lines = LineAssembler(b"\n", line_limit)
        self._headless = True

    def restart(self) -> None:
        self._lines.clear()
        self._headless = True

    def feed(self, data: bytes) -> list[Decoded]:
        found: list[Decoded] = []
        for line in self._lines.feed(data):
            if self._headless:
                self._headless = False
            elif isinstance(line, Overlong):
                found.append(Damage(_readable(line.head), "too long for a line"))
            elif line:
                found.append(self._line(line))
        return found

    def _line(self, line: bytes) -> Decoded:
        if any(byte > 126 or (byte < 32 and byte != 9) for byte in line):
            return Damage(_readable(line), "unreadable bytes: check the line's rate, data bits and parity")
        text = line.decode("ascii")
        match = self._form.pattern.fullmatch(text)
        if match is None:
            framed = "; this board sends framed lines: use the profile hall" if text.startswith("hall ") else ""
            return Damage(text, f"the profile's pattern does not fit{framed}")
        try:
            return PlainLine(int(match["count"] or ""), text)
        except (TypeError, ValueError):
            return Damage(text, "no whole number where the count should be")


def decoder_for(profile: CounterProfile) -> Decoder:
    """The decoder for the profile's form of line."""
    if profile.plain is not None:
        return PlainDecoder(profile.plain, profile.line_limit)
    return HallDecoder(profile.line_limit)


def _readable(line: bytes) -> str:
    return line.decode("ascii", "backslashreplace")
