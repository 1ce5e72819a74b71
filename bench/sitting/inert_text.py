"""Text that others typed, on a terminal: it is shown and does nothing, whatever control codes are in it.

A terminal obeys what it is sent: a note could wipe the screen, set the clipboard, move the cursor to a verdict and
write another over it, or turn a line round.  So everything that goes to a terminal is made inert at its last step, but
for what the program itself says as `Own`.
"""

from __future__ import annotations

import unicodedata
from typing import Any, TextIO

__all__ = ["InertOut", "Own", "inert_text"]


class Own(str):
    """Codes of our own, for `InertOut.write`; whatever others typed in it went through `inert_text` before."""

    __slots__ = ()

    def __add__(self, other: str) -> Own:
        return Own(str(self) + other)


class InertOut:
    """A terminal's stream as it was, except that what is written to it is inert."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        if not isinstance(text, str):
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        return self._stream.write(text if isinstance(text, Own) else inert_text(text))

    def writelines(self, lines: Any) -> None:
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def inert_text(text: str) -> str:
    """Line feeds and tabs as they are, every other control code and mark of direction as U+FFFD."""
    if text.isascii() and text.isprintable():
        return text
    return "".join("\ufffd" if _obeyed(one) else one for one in text)


def _obeyed(character: str) -> bool:
    if character.isprintable() or character in "\n\t":
        return False
    return unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp")
