"""What was learnt of an unknown meter, or why nothing was."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drivers.line_settings import LineSettings

__all__ = ["Met", "NotMet", "Why"]


class Why(StrEnum):
    """Why a meter was not met; `unreadable` is never called silence."""

    SILENT = "silent"
    UNREADABLE = "unreadable"
    ECHOES = "echoes"


@dataclass(frozen=True, slots=True)
class NotMet:
    """No frame gave readable answers. heard: the first bytes by frame, where there were
    any; echoes: the frame in which only our own words came back; tried, refused: frames."""

    why: Why
    tried: int
    refused: tuple[str, ...] = ()
    heard: Mapping[str, bytes] = field(default_factory=dict)
    echoes: str = ""
    banner: str = ""
    cut_short: bool = False


@dataclass(frozen=True, slots=True)
class Met:
    """The habits of a meter as far as harmless questions tell.

    obeyed: terminators that end a message for it, the one to use first. received: what ends its lines, None
    where a value came without an end. xon_xoff: it sent XON or XOFF. prompts, acknowledges: lines or pieces that
    follow an answer or an empty message. identity: its answer to identity_query; probe: the question that stands
    for it where there is none. no_error, first_error: entries of its error queue. answers: question -> answer, of
    those that it knows. unknown_header: what it says to a question that no meter knows, "" for silence. stream:
    lines that came unasked. slowest_s: the longest wait for an answer, the pause after it included. stopped: why
    it was not learnt to the end; cut_short: because time was over.
    """

    frame: LineSettings
    obeyed: tuple[bytes, ...] = ()
    received: bytes | None = None
    echo: bool = False
    xon_xoff: bool = False
    prompts: tuple[str, ...] = ()
    prompt_ends_line: bool = True
    acknowledges: tuple[str, ...] = ()
    identity_query: str | None = None
    identity: str | None = None
    probe: str | None = None
    error_query: str | None = None
    no_error: str = ""
    first_error: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    unanswered: tuple[str, ...] = ()
    unknown_header: str | None = None
    stream: tuple[str, ...] = ()
    banner: str = ""
    slowest_s: float = 0.0
    stopped: str = ""
    cut_short: bool = False

    @property
    def identity_fields(self) -> tuple[str, ...]:
        return () if self.identity is None else tuple(each.strip() for each in self.identity.split(","))

    @property
    def serial_field(self) -> int | None:
        """Which field of the identity holds the serial number, from 1; None where there is none or it is 0.

        The third of four (IEEE 488.2-1992, 10.14.3); the same place is a guess for three or five.
        """
        fields = self.identity_fields
        return 3 if len(fields) >= 3 and fields[2] not in ("", "0") else None
