"""Lines for a person, broken between words at the width of the terminal; what is piped stays as it is."""

from __future__ import annotations

import os
import re
import sys
import textwrap
from typing import TextIO

import click

__all__ = ["MOST_COLUMNS", "say", "terminal_columns", "wrapped"]

MOST_COLUMNS = 100
"""Wider lines are hard to follow (common practice, no source)."""
_LEAST_COLUMNS = 20
_USUAL_COLUMNS = 80

# What stands before the words and has nothing below it: blanks, the sign of a caution or heading, a number.
_HANGING = re.compile(r"\s*(?:[!>]\s+|\d\s{2})?")


def terminal_columns(stream: TextIO) -> int | None:
    """Columns of the terminal that a stream goes to, at most 100; None where it goes to none."""
    try:
        if not stream.isatty():
            return None
        columns = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError):  # a terminal without a size, a stream without a file
        columns = _USUAL_COLUMNS
    return max(_LEAST_COLUMNS, min(MOST_COLUMNS, columns or _USUAL_COLUMNS))


def wrapped(text: str, columns: int | None) -> str:
    """Each line of `text` broken between words, the rest of it two columns further in; blanks at its end stay.

    columns: None for lines as they are.  A word wider than the line is not broken: an address must be copied whole.
    """
    if columns is None:
        return text
    return "\n".join(_one(line, columns) for line in text.split("\n"))


def say(line: str = "", *, err: bool = False) -> None:
    """One line on stdout, or on stderr."""
    click.echo(wrapped(line, terminal_columns(sys.stderr if err else sys.stdout)), err=err)


def _one(line: str, columns: int) -> str:
    if len(line) <= columns:
        return line
    hanging = _HANGING.match(line)
    first = hanging.group() if hanging is not None else ""
    after = " " * (len(first) if first.strip() else len(first) + 2)
    words = line[len(first) :]
    ending = words[len(words.rstrip()) :]
    return (
        textwrap.fill(
            words,
            columns,
            initial_indent=first,
            subsequent_indent=after,
            break_long_words=False,
            break_on_hyphens=False,
        )
        + ending
    )
