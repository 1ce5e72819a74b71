"""Text in a cell of a table that a spreadsheet may open: it must never become a formula there."""

from __future__ import annotations

import re
import unicodedata

__all__ = ["RULE", "inert", "original"]

RULE = (
    "An apostrophe stands before a text, or before what follows a semicolon, tab or line break in it, where that "
    "begins, after blanks and quotation marks, with one of = + - @ or an apostrophe; taken away again it is what was "
    "typed. Control characters and marks that turn a line round are replaced by U+FFFD."
)

# Of the full width too, which some spreadsheets take alike.  A program that splits at semicolons or tabs, as some
# languages' do, begins a cell in the middle of ours; a quotation mark there may be taken for one around the cell.
_SIGNS = "['=+\\-@\uff1d\uff0b\uff0d\uff20]"
_PLACE = "(^|[;\t\r\n])"
_BEFORE = '[\\s"]*'
_MAY_BEGIN = re.compile(f"{_PLACE}(?={_BEFORE}{_SIGNS})")
_WAS_PUT = re.compile(f"{_PLACE}'(?={_BEFORE}{_SIGNS})")


def inert(text: str) -> str:
    """The text as a cell holds it; see RULE."""
    return _MAY_BEGIN.sub(r"\1'", "".join("\ufffd" if _unseen(c) else c for c in text))


def original(cell: str) -> str:
    """What `inert` was given, but for control characters."""
    return _WAS_PUT.sub(r"\1", cell)


def _unseen(character: str) -> bool:
    """Controls, marks of direction, halves of a pair, separators of lines that no table has."""
    return character not in "\t\r\n" and unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp")
