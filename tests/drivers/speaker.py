"""What a meter for tests has, whatever it speaks: a truth, a function, a range, errors, manners.

The meters of `scpi_speakers` and `other_speakers` are each described there on their own and none of them reads a
profile, so that a profile's mistake is not repeated by its peer.
"""

from __future__ import annotations

from collections import deque

from .pty_peer import PtyPeer

AC, DC, AMPS, OHMS, FOUR = "ac volts", "dc volts", "ac amps", "ohms", "ohms, four wires"
ANY = {AC: 6.3, DC: -1.25, AMPS: 0.0175, OHMS: 84.5, FOUR: 1.125}


class Refusal(Exception):
    """The meter does not take the message: as a command, or as something it can't do now."""

    def __init__(self, text: str = "", *, command: bool = True) -> None:
        super().__init__(text)
        self.command = command


class Speaker:
    """What all have: a truth that is measured, a function, a range, an error queue. `broken` provokes its error."""

    hears = b"\n"
    says = b"\n"
    clears = b""
    echoes = False
    prompts: tuple[bytes, bytes, bytes] | None = None  # good, not understood, not done
    acknowledges: tuple[bytes, bytes] | None = None  # after what is no question
    longest = 100
    peer: PtyPeer  # the end of the line that it speaks at

    def __init__(self) -> None:
        self.truth = dict(ANY)
        self.function = DC
        self.full = 0.0
        self.broken = False
        self.silent_at: list[str] = []  # messages that are not answered the next time
        self.remote = False
        self.errors: deque[str] = deque()
        self.heard: list[str] = []

    def hear(self, line: bytes) -> bytes:
        """All that comes back to one message."""
        if self.clears:
            line = line.rpartition(self.clears)[2]
        out = line + self.says if self.echoes else b""
        text = line.decode("ascii", "replace")
        self.heard.append(text)
        if text in self.silent_at:
            self.silent_at.remove(text)
            return b""
        prompt = 0
        try:
            if len(line) > self.longest:
                raise Refusal("too long")
            answer = self.reply(text) if text else None
        except Refusal as refusal:
            answer, prompt = None, 1 if refusal.command else 2
            self.refused(refusal)
        if answer is not None:
            out += answer.encode("ascii") + self.says
        elif self.acknowledges and text:
            out += self.acknowledges[bool(prompt)] + self.says
        if self.prompts:
            out += self.prompts[prompt] + self.says
        return out

    def reply(self, text: str) -> str | None:
        raise NotImplementedError

    def refused(self, refusal: Refusal) -> None:
        """Remember a refusal, where the meter has something to remember it in."""

    @property
    def over(self) -> bool:
        return abs(self.truth[self.function]) > 1.1 * self.full

    def number(self) -> str:
        return f"{self.truth[self.function]:+.6E}"


class ScpiSpeaker(Speaker):
    """An error queue in the usual form and an identity."""

    identity = "SOMEBODY,M7,A0815,2.1-3"
    clean = '+0,"No error"'
    error_query = "SYST:ERR?"

    def refused(self, refusal: Refusal) -> None:
        self.errors.append(f'-{113 if refusal.command else 221},"{refusal}"')

    def common(self, text: str) -> str | None:
        """Common commands; raises Refusal for what is none."""
        if text == "*IDN?":
            return self.identity
        if text == self.error_query:
            return self.errors.popleft() if self.errors else self.clean
        if text == "*CLS":
            self.errors.clear()
        elif text in ("SYST:REM", "SYST:LOC"):
            self.remote = text == "SYST:REM"
        else:
            raise Refusal("Undefined header; " + text)
        return None
