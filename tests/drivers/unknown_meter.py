"""Meters of which nothing is known, with the habits that a test gives them, on a line set rightly or wrongly."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from drivers.line_settings import LineSettings

from .clocks import VirtualClock
from .uart import heard

PLAIN = {
    "*IDN?": "NOBODY,TM6,0042,1.0",
    "CONF?": '"VOLT:DC 1.000000E+01,1.000000E-05"',
    "FETC?": "+1.23450000E+00",
    "VOLT:AC:RANG?": "+1.000000E+01",
    "VOLT:DC:RANG?": "+1.000000E+01",
    "RES:RANG?": "+1.000000E+02",
}
_SPLIT = {"any": r"[\r\n]", "lf": r"\n", "cr": r"\r", "crlf": r"\r\n"}


@dataclass
class UnknownMeter:
    """Hears bytes in its own frame, answers in its own frame.

    obeys: what ends a message for it: any, lf, cr, crlf; under `lf` a CR before it is part of the message.
    error_queue: the query of it, "" where there is none. stream: a line that comes by itself every `stream_s`.
    banner: comes once, after the port was opened. slow_s: questions that take their time; what is asked meanwhile is
    answered after them.
    """

    answers: Mapping[str, str] = field(default_factory=lambda: dict(PLAIN))
    frame: LineSettings = field(default_factory=LineSettings)
    obeys: str = "any"
    ends: bytes = b"\r\n"
    echo: bool = False
    prompt: bytes = b""
    error_prompt: bytes = b""
    error_queue: str = "SYST:ERR?"
    no_error: str = '+0,"No error"'
    not_known: str = '-113,"Undefined header"'
    refusal: str = ""
    stream: bytes = b""
    stream_s: float = 0.4
    delay_s: float = 0.02
    banner: bytes = b""
    slow_s: Mapping[str, float] = field(default_factory=dict)
    heard: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    _rest: bytes = b""

    def hear(self, data: bytes) -> bytes:
        *messages, self._rest = re.split(_SPLIT[self.obeys].encode(), self._rest + data)
        return b"".join(self._reply(message) for message in messages)

    def _reply(self, raw: bytes) -> bytes:
        message = raw.decode("latin-1")
        text = message.strip("\r\n") if self.obeys == "any" else message
        if text:
            self.heard.append(text)
        said = (text.encode("latin-1") + self.ends) if self.echo and text else b""
        if not text:
            return said + (self.prompt if self.echo else b"")
        answer = self._answer(text)
        if answer is None:
            self.errors.append(self.not_known)
            refused = self.refusal.encode() + self.ends if self.refusal else b""
            return said + refused + (self.error_prompt or self.prompt)
        return said + answer.encode() + self.ends + self.prompt

    def _answer(self, text: str) -> str | None:
        if self.error_queue and text == self.error_queue:
            return self.errors.pop(0) if self.errors else self.no_error
        return self.answers.get(text)


class TunedLine:
    """A line in virtual time between a host, which sets its frame, and a meter that has its own."""

    def __init__(self, meter: UnknownMeter, clock: VirtualClock) -> None:
        self.meter = meter
        self.clock = clock
        self.host = LineSettings()
        self.sent: list[bytes] = []
        self._due: list[tuple[float, bytes]] = []
        self._busy_until = clock.now
        if meter.banner:
            self._due.append((clock.now + 1.2, meter.banner))
        self._stream_at = clock.now + meter.stream_s

    def retune(self, settings: LineSettings) -> None:
        self.host = settings

    def send(self, data: bytes) -> None:
        self.sent.append(data)
        said = self.meter.hear(heard(data, self.host, self.meter.frame, checks_parity=True))
        if said:
            slow = [each for question, each in self.meter.slow_s.items() if question.encode() in data]
            at = max(self._busy_until, self.clock.now) + max(slow, default=self.meter.delay_s)
            self._busy_until = at
            self._due.append((at, said))

    def receive(self, timeout_s: float) -> bytes:
        until = self.clock.now + timeout_s
        if self.meter.stream:
            while self._stream_at <= until:
                self._due.append((self._stream_at, self.meter.stream))
                self._stream_at += self.meter.stream_s
        self._due.sort(key=lambda each: each[0])
        if not self._due or self._due[0][0] > until:
            self.clock.now = until
            return b""
        at, data = self._due.pop(0)
        self.clock.now = max(self.clock.now, at)
        return heard(data, self.meter.frame, self.host)
