"""A page of the guide as lines for a terminal: wrapped between words, what is typed left as it is."""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it.token import Token

__all__ = ["as_text"]

_INDENT = "    "
_BULLET = "- "
_GAP = "  "
_LEAST_LAST = 30  # columns of the last column of a table


def as_text(markdown: str, columns: int) -> str:
    """columns: of the terminal; blocks of commands are not broken, since they are to be typed as they are."""
    from markdown_it import MarkdownIt

    return _Lines(columns).of(MarkdownIt("commonmark").enable("table").parse(markdown))


class _Lines:
    def __init__(self, columns: int) -> None:
        self._columns = columns
        self._out: list[str] = []
        self._depth = 0
        self._bullet = ""
        self._number = 0
        self._rows: list[list[str]] = []

    def of(self, tokens: list[Token]) -> str:
        inside = ""
        for token in tokens:
            match token.type:
                case "heading_open" | "paragraph_open" | "th_open" | "td_open":
                    inside = token.type if token.type != "heading_open" else token.tag
                case "inline":
                    self._text(_plain(token), inside)
                case "fence" | "code_block":
                    self._block(token.content)
                case "bullet_list_open" | "ordered_list_open":
                    self._depth += 1
                    self._number = 0 if token.type[0] == "o" else -1
                case "bullet_list_close" | "ordered_list_close":
                    self._depth -= 1
                    self._blank()
                case "list_item_open":
                    self._number += self._number >= 0
                    self._bullet = _BULLET if self._number < 0 else f"{self._number}. "
                case "tr_open":
                    self._rows.append([])
                case "table_close":
                    self._table(self._rows)
                    self._rows = []
        return "\n".join(self._out).strip("\n") + "\n"

    def _text(self, text: str, inside: str) -> None:
        if inside in ("th_open", "td_open"):
            self._rows[-1].append(text)
            return
        if inside in ("h1", "h2", "h3"):
            self._blank()
            self._out += [text, ("=" if inside == "h1" else "-") * len(text), ""]
            return
        first = "  " * max(0, self._depth - 1) + self._bullet
        after = " " * len(first) if self._bullet else "  " * self._depth
        self._out += self._wrapped(text, first if self._bullet else after, after)
        if not self._depth:
            self._blank()
        self._bullet = ""

    def _table(self, rows: list[list[str]]) -> None:
        """In columns, the last of them wrapped; where that leaves too little room, each row as a cell below a cell."""
        self._blank()
        head, *body = rows
        widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)][:-1]
        left = self._columns - sum(widths) - len(_GAP) * len(widths)
        if left >= _LEAST_LAST:
            for row in (head, ["-" * len(cell) for cell in head], *body):
                first = "".join(f"{cell:<{wide}}{_GAP}" for cell, wide in zip(row, widths, strict=False))
                self._out += self._wrapped(row[-1], first, " " * len(first)) or [first.rstrip()]
        else:
            for first, *others in body:
                self._out += self._wrapped(first, "", "  ")
                for cell in filter(None, others):
                    self._out += self._wrapped(cell, _INDENT, _INDENT)
                self._blank()
        self._blank()

    def _block(self, body: str) -> None:
        self._blank()
        self._out += [f"{_INDENT}{line}".rstrip() for line in body.rstrip("\n").split("\n")]
        self._blank()

    def _blank(self) -> None:
        if self._out and self._out[-1]:
            self._out.append("")

    def _wrapped(self, text: str, first: str, after: str) -> list[str]:
        return textwrap.wrap(
            text,
            self._columns,
            initial_indent=first,
            subsequent_indent=after,
            break_long_words=False,
            break_on_hyphens=False,
        )


def _plain(inline: Token) -> str:
    """The text of a line: where a link leads to another page, its name is said."""
    said, ends = "", []
    for token in inline.children or []:
        match token.type:
            case "text" | "code_inline":
                said += token.content
            case "softbreak" | "hardbreak":
                said += " "
            case "link_open":
                page = re.fullmatch(r"([\w-]+)\.md(?:#.*)?", str(token.attrGet("href") or ""))
                ends.append(f" [turnproof guide {page[1]}]" if page is not None else "")
            case "link_close":
                said += ends.pop()
            case "image":
                said += f"[Picture {token.attrGet('src')}: {token.content}]"
    return said
