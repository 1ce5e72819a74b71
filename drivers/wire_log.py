"""A record of every byte that crossed a line, one JSON object a line, that can be replayed."""

from __future__ import annotations

import contextlib
import json
import string
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

__all__ = ["WireLog", "decode_payload", "encode_payload"]

_PLAIN = frozenset(string.printable.encode("ascii")) - frozenset(b"\x0b\x0c")


def encode_payload(data: bytes) -> dict[str, str]:
    """`{"text": ...}` for plain ASCII, else `{"hex": ...}`."""
    if _PLAIN.issuperset(data):
        return {"text": data.decode("ascii")}
    return {"hex": data.hex()}


def decode_payload(entry: dict[str, object]) -> bytes:
    """The bytes of an entry; raises ValueError where it has none."""
    match entry:
        case {"text": str(text)}:
            return text.encode("ascii")
        case {"hex": str(digits)}:
            return bytes.fromhex(digits)
        case _:
            raise ValueError("expected a text or hex entry")


class WireLog:
    """Appends to a file, flushed entry by entry; `t` is seconds since the line was first opened, whose time stands in
    the entry of its opening.

    Where nothing more can be written, such as on a full disk, it says so in `problem` and leaves the line alone: a log
    is no reason to lose a count.
    """

    def __init__(self, path: Path, utcnow: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self._file = path.open("a", encoding="utf-8")
        self._utcnow = utcnow
        self.problem = ""

    def bytes_crossed(self, t: float, direction: str, data: bytes) -> None:
        """direction is "in" (from the instrument) or "out"."""
        self._write({"t": round(t, 6), "dir": direction, **encode_payload(data)})

    def event(self, t: float, what: str, **details: str) -> None:
        """opened, lost or closed."""
        self._write({"t": round(t, 6), "event": what, "at": self._utcnow().isoformat(), **details})

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self._file.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _write(self, entry: dict[str, object]) -> None:
        if self.problem:
            return
        try:
            self._file.write(json.dumps(entry, ensure_ascii=True) + "\n")
            self._file.flush()
        except (OSError, ValueError) as error:
            self.problem = getattr(error, "strerror", None) or str(error)
