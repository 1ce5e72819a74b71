"""What is known so far of an unknown meter, and what a line of it means in that light."""

from __future__ import annotations

from dataclasses import dataclass, field

from drivers.heard import Heard, looks_acknowledged, looks_prompted, shape_of
from drivers.line_settings import LineSettings
from drivers.scpi import parse_error

__all__ = ["Notes", "answering_lines", "is_error", "is_identity", "is_refusal", "note_manners"]


@dataclass
class Notes:
    """What is known so far, to be had at any moment."""

    frame: LineSettings
    terminator: bytes
    obeyed: list[bytes] = field(default_factory=list)
    received: bytes | None = None
    echo: bool = False
    prompts: list[str] = field(default_factory=list)
    prompt_ends_line: bool = True
    acknowledges: list[str] = field(default_factory=list)
    error_query: str | None = None
    no_error: str = ""
    first_error: str = ""
    answers: dict[str, str] = field(default_factory=dict)
    unanswered: list[str] = field(default_factory=list)
    unknown_header: str | None = None
    stream: tuple[str, ...] = ()
    stopped: str = ""
    damaged: int = 0


def answering_lines(notes: Notes, heard: Heard) -> list[str]:
    """The lines that answer: no prompt, no acknowledge line, nothing that comes without being asked."""
    talk = {shape_of(line) for line in notes.stream}
    return [
        line
        for line in heard.all
        if not looks_prompted(line) and not looks_acknowledged(line) and shape_of(line) not in talk
    ]


def note_manners(notes: Notes, heard: Heard) -> None:
    for line in heard.all:
        if looks_prompted(line):
            kind = notes.prompts
            notes.prompt_ends_line = line != heard.tail
        elif looks_acknowledged(line):
            kind = notes.acknowledges
        else:
            continue
        if line.strip() not in kind:
            kind.append(line.strip())


def is_identity(answer: str) -> bool:
    """Fields between commas, or at least a name; never an error in its place."""
    return any(letter.isalpha() for letter in answer) and len(answer) > 2 and not is_refusal(answer)


def is_refusal(answer: str) -> bool:
    error = parse_error(answer.encode("ascii", "replace"))
    return (error is not None and error.code != 0) or "error" in answer.lower().split(",")[0]


def is_error(answer: str, text: str) -> bool:
    """An error in the place of an answer; from an error query it is the answer."""
    return is_refusal(answer) and "ERR" not in text and "QUE" not in text
