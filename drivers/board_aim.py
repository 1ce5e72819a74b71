"""Keeps a counter board told of the target, so that it warns and lets the winder stop even with nobody listening."""

from __future__ import annotations

import re

from drivers.countline import Answer, check_sum

__all__ = ["BoardAim", "command"]

_ANSWER = re.compile(r"aim boot=(\d{1,10}) at=-?\d{1,10} target=(-?\d{1,10}) run=[01]")
_AGAIN_S = 1.0
_TRIES = 3

_Aim = tuple[int, int, int]
"""boot, edges, edges before it from which to warn."""


def command(words: str) -> bytes:
    """A command as a board takes it, with its check sum."""
    body = words.encode("ascii")
    return body + b" %04X\n" % check_sum(body)


class BoardAim:
    """What to send and when; no I/O. A board that does not answer, or refuses, is left alone until the aim changes."""

    def __init__(self) -> None:
        self._confirmed: _Aim | None = None
        self._sent: _Aim | None = None
        self._tries = 0
        self._next = 0.0

    @property
    def known_to_board(self) -> bool:
        """Whether the board has said that it took what was sent last."""
        return self._confirmed is not None and self._confirmed == self._sent

    def due(self, boot: int, edges: int, warn: int, now: float) -> bytes | None:
        """The command that the board needs now, None where it knows."""
        wanted = (boot, edges, warn)
        if wanted == self._confirmed:
            return None
        if wanted != self._sent:
            self._sent, self._tries, self._next = wanted, 0, now
        if self._tries >= _TRIES or now < self._next:
            return None
        self._tries += 1
        self._next = now + _AGAIN_S
        return command(f"aim {edges} {warn}")

    def answered(self, answer: Answer) -> None:
        match = _ANSWER.fullmatch(answer.words)
        if match is not None and self._sent is not None and (int(match[1]), int(match[2])) == self._sent[:2]:
            self._confirmed = self._sent
        elif not answer.taken and answer.words.startswith("aim"):
            self._tries = _TRIES

    def line_came_back(self) -> None:
        """The board may have been without power, or be another one."""
        self._confirmed = None
        self._tries = 0
