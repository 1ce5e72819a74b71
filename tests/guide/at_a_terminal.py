"""A command at a real terminal, with a person in front of it and a simulated bench beside it."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import shlex
import struct
import subprocess
import termios
import time

from bench.operators.rehearsal import ControlPort
from tests.cli.typist import ENDS, Typist
from tests.guide.page import Act
from tests.warm_start import HURRIED, Started

__all__ = ["AtATerminal"]

_COLUMNS, _ROWS = 100, 40
_NO_KEY = re.compile(r"\(no key: [^\n]*\)\n\Z")
_PROMPT = re.compile(r"(?:  done\? |  (\w+) \[[^\]]+\]: |Why skip\? \(number or words\) |End it early\? [^\n]*: ) *\Z")
_ASKS = re.compile(r"(?:[:?\])]) \Z")
_QUIET_S = 0.06
_WAITS = re.compile(r"left; Enter ends it early[ \n]*\Z")
_ENDS = f"{ENDS}y"  # a wait is written over in its line: it ends with its last word
_CODES = re.compile(r"\x1b\[[?0-9;]*[A-Za-z]|\x1b[=>]|\x07")
_ERASES = "\x1b[K"
_PANEL = re.compile(r"\x1b\[\?1049h.*?\x1b\[\?1049l", re.DOTALL)


class AtATerminal:
    """Runs to its end while somebody does what is asked; no key is typed that is not shown."""

    def __init__(self, words: list[str], control: ControlPort | None) -> None:
        self._words, self._control = words, control
        self._said = ""

    def goes(self, script: list[Act]) -> tuple[int, str]:
        """Its status and what stood on the screen, with what was typed where it was typed."""
        ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", _ROWS, _COLUMNS, 0, 0))
        settings = termios.tcgetattr(theirs)
        settings[1] &= ~termios.OPOST
        settings[3] &= ~termios.ECHO
        termios.tcsetattr(theirs, termios.TCSANOW, settings)
        environment = {**os.environ, "PYTHONUNBUFFERED": "1", "TERM": "xterm", HURRIED: "30"}
        process = Started(
            *self._words, own_terminal=True, stdin=theirs, stdout=theirs, stderr=subprocess.STDOUT, env=environment
        )
        os.close(theirs)
        try:
            self._play(ours, script)
            assert self._read_on(ours, 12.0, None), f"it does not end, it said:\n{_plain(self._said)[-3000:]}"
            return process.wait(20), _plain(self._said)
        finally:
            if process.poll() is None:
                process.kill()
                process.wait()
            os.close(ours)

    def _play(self, terminal: int, script: list[Act]) -> None:
        for act in script:
            match act.verb:
                case "sees":
                    assert self._read_on(terminal, 30.0, act.rest), f"never saw {act.rest!r} in\n{self._said[-3000:]}"
                case "press":
                    keys = act.rest.replace("SPACE", " ").replace("ENTER", "\r")
                    os.write(terminal, keys.encode())
                    if keys.endswith("\r") and not self._said.endswith("\n"):
                        self._said += keys.replace("\r", "\n")
                case "spindle":
                    assert self._control is not None
                    words = dict(one.split("=") for one in shlex.split(act.rest))
                    self._control.do("spindle", **{key: float(value) for key, value in words.items()})
                case "typed":
                    for line in act.rest.split("|"):
                        self._type(terminal, line.strip())
                case "person":
                    assert self._control is not None
                    _Person(self._control, act.rest).sit_at(terminal, self)

    def heard(self, text: str) -> None:
        self._said += text

    def _type(self, terminal: int, line: str) -> None:
        """Type a line once something is asked."""
        seen, give_up = _CODES.sub("", self._said[-400:]), time.monotonic() + 12.0
        while not (_ASKS.search(seen) and not select.select([terminal], [], [], _QUIET_S)[0]):
            assert time.monotonic() < give_up, f"nothing was asked where {line!r} is typed:\n{self._said[-3000:]}"
            if select.select([terminal], [], [], 0.2)[0]:
                try:
                    data = os.read(terminal, 65536).decode("utf-8", "replace")
                except OSError:
                    raise AssertionError(f"it ended before {line!r} was typed:\n{self._said[-3000:]}") from None
                seen += _CODES.sub("", data)
                self._said += data
        os.write(terminal, f"{line}\n".encode())
        self._said += f"{line}\n"

    def _read_on(self, terminal: int, within: float, until: str | None) -> bool:
        """Read until this text comes, or to the end where none is waited for."""
        give_up = time.monotonic() + within
        seen = ""
        while until is None or until not in seen:
            left = give_up - time.monotonic()
            if left <= 0 or not select.select([terminal], [], [], left)[0]:
                return False
            try:
                data = os.read(terminal, 65536).decode("utf-8", "replace")
            except OSError:
                return until is None
            if not data:
                return until is None
            seen += _CODES.sub("", data)
            self._said += data
        return True


class _Person(Typist):
    """Does what is asked and types what is due.

    wishes: what else this person does, parted by `|`: `skip WORDS OF THE ASK = REASON`, `early REASON`, `stop after N`.
    """

    def __init__(self, control: ControlPort, wishes: str) -> None:
        super().__init__(control)
        told = [wish.strip() for wish in wishes.split("|") if wish.strip()]
        self._skips = dict(
            [part.strip() for part in wish.removeprefix("skip ").split("=")] for wish in told if wish.startswith("skip")
        )
        self._early = next((wish.removeprefix("early ") for wish in told if wish.startswith("early")), "no time today")
        self._stop_at = next((wish.removeprefix("stop at ") for wish in told if wish.startswith("stop")), "")
        self._why = ""

    def sit_at(self, terminal: int, screen: AtATerminal) -> None:
        block = ""
        while True:
            if not select.select([terminal], [], [], 30.0)[0]:
                raise AssertionError(f"silent for half a minute after:\n{block[-1500:]}")
            try:
                data = os.read(terminal, 1)
            except OSError:
                break
            if not data:
                break
            while data[-1] >= 0x80 and len(data) < 4:  # a sign of several bytes
                try:
                    data.decode()
                    break
                except UnicodeDecodeError:
                    data += os.read(terminal, 1)
            sign = data.decode("utf-8", "replace")
            block += sign
            if sign not in _ENDS:
                continue
            tail = _plain(block[-400:])
            if _NO_KEY.search(tail):
                self._do(_plain(block), moved=False)
            elif _WAITS.search(tail):
                os.write(terminal, b"\n")
            elif (prompt := _PROMPT.search(tail)) is not None:
                answer = self._typed(_plain(block), prompt)
                os.write(terminal, f"{answer}\n".encode())
                block += f"{answer}\n"
            else:
                continue
            screen.heard(block)
            block = ""
        screen.heard(block)

    def _typed(self, block: str, prompt: re.Match[str]) -> str:
        if "End it early?" in prompt[0]:
            return self._early
        if "Why" in prompt[0]:
            return self._why
        if self._stop_at and self._stop_at in block:
            return "q"
        for words, why in self._skips.items():
            if words in block:
                self._why = why
                return "s"
        return self._answer(block, prompt[1])


def _plain(text: str) -> str:
    """What stays on the screen: without the panel, colours, and what was written over."""
    text = _PANEL.sub("", text).replace("\r\n", "\n")
    return "\n".join(_last_written(line) for line in text.split("\n"))


def _last_written(line: str) -> str:
    shown = ""
    for piece in line.split("\r"):
        written = _CODES.sub("", piece)
        shown = written if piece.startswith(_ERASES) else written + shown[len(written) :]
    return shown
