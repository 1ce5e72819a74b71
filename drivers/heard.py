"""Takes apart what a meter of unknown habits sent back: echo, answer, prompt, and how it ends its lines."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = [
    "Heard",
    "is_text",
    "looks_acknowledged",
    "looks_prompted",
    "read_back",
    "shape_of",
    "shifted_frame",
    "without_flow",
]

# Longest first, so that a CR LF pair is never taken for a lone CR.
_ENDS = (b"\r\n\x00", b"\r\n", b"\n\r", b"\n", b"\r")
_BREAK = re.compile(rb"[\r\n][\r\n\x00]*")
_PROMPT = re.compile(r"[=?!*#$\s]{0,4}>\s?")
_ACKNOWLEDGE = re.compile(r"n?ok|n?ack|ready|done", re.IGNORECASE)
_LEAST = 2
_LIST = 5


@dataclass(frozen=True, slots=True)
class Heard:
    """What came after one message.

    lines: without their ends, blank ones left out, the echo taken off. tail: what came after the last end:
    a prompt without one, or a piece. end: the bytes that end a line; None where no line ended.
    """

    lines: tuple[str, ...] = ()
    tail: str = ""
    end: bytes | None = None
    echo: bool = False

    @property
    def all(self) -> tuple[str, ...]:
        """Lines and tail, in order."""
        return (*self.lines, self.tail) if self.tail.strip() else self.lines

    @property
    def repeats(self) -> bool:
        """Whether lines of one shape came more than once, as of a meter that talks without being asked."""
        shapes = [shape_of(line) for line in self.lines]
        return len(set(shapes)) < len(shapes)


def is_text(data: bytes) -> bool:
    """Whether these bytes are plain text at all, and more than a lone character that chance may give."""
    bare = data.replace(b"\n\x00", b"\n")
    if any(byte > 126 or (byte < 32 and byte not in b"\t\r\n") for byte in bare):
        return False
    return len(bare.strip()) >= _LEAST or (len(bare.strip()) == 1 and bare[-1:] in b"\r\n")


def read_back(data: bytes, sent: str, end: bytes | None = None) -> Heard:
    """The parts of `data`, which must be text, that came after the message `sent` (without its terminator).

    end: what ends a line, where it is known: a line may hold another, such as an error that quotes what it heard.
    """
    ends = [match.group() for match in _BREAK.finditer(data)]
    pieces = data.split(end) if end and end in data else _BREAK.split(data)
    *whole, tail = (piece.decode("ascii", "replace").replace("\0", "") for piece in pieces)
    lines = [line for line in whole if line.strip()]
    echo = bool(sent) and bool(lines) and lines[0].strip() == sent
    if echo:
        lines = lines[1:]
    elif sent and tail.strip() == sent and not lines:
        echo, tail = True, ""
    return Heard(tuple(lines), tail, _usual(ends), echo)


def without_flow(data: bytes) -> bytes:
    """The bytes without those by which a meter holds us back and lets us go on, XOFF and XON."""
    return data.translate(None, b"\x11\x13")


def looks_prompted(line: str) -> bool:
    """Whether a line, or a piece without an end, is a prompt such as `=>` or `> `."""
    return bool(line.strip()) and _PROMPT.fullmatch(line) is not None


def looks_acknowledged(line: str) -> bool:
    """Whether a line is what a meter says to a message that has no answer."""
    return _ACKNOWLEDGE.fullmatch(line.strip()) is not None


def shape_of(line: str) -> str:
    """The line with each run of digits made the same, so that two readings look alike; of a long list only its first
    word and its length, since the last element may be a check sum."""
    fields = re.split(r"[ ,;\t]+", line.strip())
    text = f"{fields[0]} and {len(fields) - 1} more" if len(fields) >= _LIST else line.strip()
    return re.sub(r"\d+", "9", text.replace("-", "+"))


def shifted_frame(data: bytes) -> str | None:
    """`even` or `odd` where the bytes are text of seven bits with that parity, heard with eight; else None."""
    if len(data) < _LEAST or not any(byte & 0x80 for byte in data):
        return None
    if not is_text(bytes(byte & 0x7F for byte in data)):
        return None
    ones = {byte.bit_count() % 2 for byte in data}
    if len(ones) > 1:
        return None
    return "odd" if ones == {1} else "even"


def _usual(ends: list[bytes]) -> bytes | None:
    """The end that most lines have; blank lines make a run of several."""
    found = [next(end for end in _ENDS if run.startswith(end)) for run in ends]
    return max(set(found), key=lambda end: (found.count(end), len(end))) if found else None
