"""One query and its one answer, with everything that can come instead."""

from __future__ import annotations

import pytest

from drivers.exchange import Answered, Exchange, Glued, TimedOut, TooLong
from drivers.lines import LineAssembler, Overlong


def exchange(**changes: object) -> Exchange:
    return Exchange(10.0, **changes)


@pytest.mark.parametrize("data", [b"5.0\n", b"5.0\r\n", b"\n\r\n5.0\n"])
def test_a_whole_line_is_the_answer_and_empty_ones_are_skipped(data):
    assert exchange().feed(data, 1.0) == Answered(b"5.0")


def test_an_answer_in_pieces_is_whole_only_at_its_end():
    waiting = exchange()
    assert [waiting.feed(bytes([byte]), 1.0) for byte in b"5.0"] == [None] * 3
    assert waiting.feed(b"\n", 1.0) == Answered(b"5.0")


def test_a_piece_is_never_an_answer():
    waiting = exchange()
    waiting.feed(b"5.", 1.0)
    assert waiting.feed(b"", 10.0) == TimedOut(b"5.")


def test_silence_ends_at_the_deadline_and_not_before():
    waiting = exchange()
    assert waiting.feed(b"", 9.99) is None
    assert waiting.feed(b"", 10.0) == TimedOut(b"")


def test_dripping_bytes_do_not_move_the_deadline():
    waiting = exchange()
    assert waiting.feed(b"5", 9.0) is None
    assert waiting.feed(b".", 10.5) == TimedOut(b"5.")


@pytest.mark.parametrize("data", [b"5.0\n6.0\n", b"5.0\n6."])
def test_two_answers_where_one_is_due_are_both_refused(data):
    assert isinstance(exchange().feed(data, 1.0), Glued)


@pytest.mark.parametrize(("data", "repeats"), [(b"5.0\n5.0\n", 1), (b"5.0\n5.", 0)])
def test_the_same_answer_twice_is_one(data, repeats):
    assert exchange().feed(data, 1.0) == Answered(b"5.0", repeats)


def test_a_flood_without_an_end_is_stopped():
    assert isinstance(exchange(line_limit=20).feed(b"x" * 100, 1.0), TooLong)


def test_another_terminator_is_taken_as_the_profile_says():
    assert exchange(terminator=b"\r").feed(b"5.0\r", 1.0) == Answered(b"5.0")


def test_a_terminator_in_two_pieces_is_one():
    lines = LineAssembler(b"\r\n")
    assert lines.feed(b"a\r") == []
    assert lines.feed(b"\nb\r\n") == [b"a", b"b"]


def test_a_flood_is_told_once_and_keeps_little():
    lines = LineAssembler(b"\n", 10)
    found = lines.feed(b"x" * 50) + lines.feed(b"x" * 50) + lines.feed(b"x\nab\n")
    assert found == [Overlong(b"x" * 10), b"ab"]
    assert lines.pending == b""
