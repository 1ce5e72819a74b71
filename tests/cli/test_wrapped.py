"""Lines at a terminal break between words, and nowhere where there is no terminal."""

from __future__ import annotations

import io
import os
import pty
import struct
import termios
from collections.abc import Iterator
from fcntl import ioctl
from typing import TextIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.cli.wrapped import MOST_COLUMNS, terminal_columns, wrapped

WORDS = st.lists(st.text("abcdefgh-.,", min_size=1, max_size=12), min_size=1, max_size=60)


@pytest.fixture
def terminal() -> Iterator[TextIO]:
    ours, theirs = pty.openpty()
    with os.fdopen(theirs, "w") as stream:
        yield stream
    os.close(ours)


def set_width(terminal: TextIO, columns: int) -> None:
    ioctl(terminal.fileno(), termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))


@pytest.mark.parametrize(("columns", "taken"), [(60, 60), (200, MOST_COLUMNS), (5, 20), (0, 80)])
def test_the_terminal_s_own_width_counts_up_to_a_hundred(terminal: TextIO, columns: int, taken: int) -> None:
    set_width(terminal, columns)
    assert terminal_columns(terminal) == taken


def test_what_is_piped_is_never_broken() -> None:
    assert terminal_columns(io.StringIO()) is None
    assert wrapped("word " * 60, None) == "word " * 60


@given(WORDS, st.sampled_from(["", "  ", "    ", "  !  ", "> ", "4  "]), st.integers(20, 100))
def test_no_word_is_lost_or_broken_and_no_line_is_too_wide(words: list[str], before: str, columns: int) -> None:
    lines = wrapped(before + " ".join(words), columns).split("\n")
    assert " ".join(lines).split() == (before + " ".join(words)).split()
    assert all(len(line) <= columns for line in lines)


def test_what_follows_hangs_below_the_first_word_of_a_caution_and_further_in_elsewhere() -> None:
    assert wrapped("  !  Mains kills. Every open end is live.", 24) == "  !  Mains kills. Every\n     open end is live."
    assert wrapped("  heater: sixteen turns counted", 20) == "  heater: sixteen\n    turns counted"


def test_a_prompt_keeps_the_blank_before_what_is_typed() -> None:
    assert wrapped("frequency of the supply: ", 20) == "frequency of the\n  supply: "
