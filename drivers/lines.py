"""Cuts a stream of bytes into lines of bounded length."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["LineAssembler", "Overlong"]


@dataclass(frozen=True, slots=True)
class Overlong:
    """A line that passed the limit, or a flood without an end; only its beginning is kept."""

    head: bytes


class LineAssembler:
    """Bytes in, whole lines out, without their terminator.

    A terminator LF also takes the CR of a CR LF away with it; any other is taken as it is.
    """

    def __init__(self, terminator: bytes = b"\n", limit: int = 350) -> None:
        self._terminator = terminator
        self._limit = limit
        self._rest = b""
        self._skipping = False

    @property
    def pending(self) -> bytes:
        """The beginning of a line that has not ended yet."""
        return self._rest

    def clear(self) -> None:
        """Forget what has not ended yet."""
        self._rest = b""
        self._skipping = False

    def feed(self, data: bytes) -> list[bytes | Overlong]:
        """The lines that end with these bytes, in order."""
        parts = (self._rest + data).split(self._terminator)
        self._rest = parts.pop()
        found: list[bytes | Overlong] = []
        for part in parts:
            if self._skipping:
                self._skipping = False
                continue
            if self._terminator == b"\n" and part.endswith(b"\r"):
                part = part[:-1]
            found.append(part if len(part) <= self._limit else Overlong(part[: self._limit]))
        if self._skipping:
            self._rest = self._tail_of_terminator()
        elif len(self._rest) > self._limit + len(self._terminator):
            found.append(Overlong(self._rest[: self._limit]))
            self._skipping = True
            self._rest = self._tail_of_terminator()
        return found

    def _tail_of_terminator(self) -> bytes:
        # while a flood is dropped only what may begin a terminator matters
        keep = len(self._terminator) - 1
        return self._rest[-keep:] if keep else b""
