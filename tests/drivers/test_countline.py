"""Counter lines: whole, byte by byte, with bytes trailing, and damaged."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.countline import Answer, Damage, HallDecoder, HallLine, Hello, PlainDecoder, PlainLine, check_sum
from drivers.line_pattern import line_pattern
from drivers.profile_files import load_counter_profile

from .framing import crc_bitwise, framed, hall, hello

LINE = hall(3, 17, 4321, -260, 4)
DECODED = HallLine(3, 17, 4321, -260, 4, LINE.decode().strip())


def plain_decoder(pattern: str | None = None) -> PlainDecoder:
    form = load_counter_profile("plain").plain
    assert form is not None
    form = form if pattern is None else replace(form, pattern=line_pattern(pattern))
    decoder = PlainDecoder(form)
    decoder.feed(b"\n")
    return decoder


# Check value 0x29B1 of CRC-16/IBM-3740, alias CCITT-FALSE: catalogue of parametrised CRC algorithms,
# reveng.sourceforge.io/crc-catalogue/16.htm. The other two follow from the definition.
@pytest.mark.parametrize(("data", "crc"), [(b"123456789", 0x29B1), (b"", 0xFFFF), (b"\x00", 0xE1F0)])
def test_check_sum_has_its_published_values(data, crc):
    assert check_sum(data) == crc_bitwise(data) == crc


@given(st.binary(max_size=80))
def test_check_sum_agrees_with_the_definition_worked_bit_by_bit(data):
    assert check_sum(data) == crc_bitwise(data)


@pytest.mark.parametrize("end", [b"\n", b"\r\n"])
def test_a_whole_line_is_read(end):
    assert HallDecoder().feed(LINE.strip() + end) == [DECODED]


def test_a_line_byte_by_byte_comes_once_at_its_end():
    decoder = HallDecoder()
    found = [decoder.feed(LINE[place : place + 1]) for place in range(len(LINE))]
    assert found == [[]] * (len(LINE) - 1) + [[DECODED]]


def test_what_trails_a_line_waits_for_its_own_end():
    decoder = HallDecoder()
    assert decoder.feed(LINE + LINE[:9]) == [DECODED]
    assert decoder.feed(LINE[9:]) == [DECODED]


@given(st.integers(0, len(LINE) - 2), st.integers(0, 7))
def test_one_bit_turned_over_anywhere_is_never_read_as_a_count(place, bit):
    spoilt = bytearray(LINE)
    spoilt[place] ^= 1 << bit
    found = HallDecoder().feed(bytes(spoilt))
    assert found
    assert all(isinstance(each, Damage) for each in found)


@given(st.binary(max_size=300))
def test_no_bytes_make_the_decoder_stumble(data):
    decoder = HallDecoder()
    decoder.feed(data)
    decoder.feed(b"\n")
    assert decoder.feed(LINE) == [DECODED]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (LINE.replace(b"-260", b"-261"), "check sum"),
        (framed("hall 2 3 17 4321 -260 4"), "not a line"),
        (framed("hall 1 3 17 4321 2.5 4"), "not a line"),
        (framed("hall 1 3 17 4321 -260 0"), "no edges"),
        (framed("HALL 1 3 17 4321 -260 4"), "not a line"),
        (b"x" * 500 + b"\n", "too long"),
        (b"\x00" + LINE, "not a line"),
    ],
)
def test_a_line_that_is_none_says_why(line, reason):
    (damage,) = HallDecoder().feed(line)
    assert isinstance(damage, Damage)
    assert reason in damage.reason


def test_after_a_flood_without_end_the_next_line_is_read():
    decoder = HallDecoder()
    decoder.feed(b"x" * 5000)
    assert decoder.feed(b"xx\n" + LINE) == [DECODED]


def test_a_greeting_says_what_the_board_is():
    line = hello(9, sensors=1, magnets=3)
    assert HallDecoder().feed(line) == [Hello("0.1", 1, 3, 9, line.decode().strip())]


def test_a_greeting_with_a_wrong_check_sum_is_damage():
    (damage,) = HallDecoder().feed(hello(9).replace(b"sensors=2", b"sensors=1"))
    assert isinstance(damage, Damage)


@pytest.mark.parametrize(
    ("line", "number"), [(b"42\n", 42), (b"-3\r\n", -3), (b"turns: 120 ok\n", 120), (b"n=+7;\n", 7)]
)
def test_a_plain_line_gives_its_one_number(line, number):
    assert plain_decoder().feed(line) == [PlainLine(number, line.decode().strip())]


@pytest.mark.parametrize("line", [b"12.5\n", b"1 2\n", b"none\n", b"4\xb2\n", b"1\x002\n", b"12345678901\n"])
def test_a_plain_line_without_exactly_one_number_is_damage(line):
    (damage,) = plain_decoder().feed(line)
    assert isinstance(damage, Damage)


def test_the_first_plain_line_after_opening_may_lack_its_head_and_is_not_used():
    decoder = plain_decoder()
    decoder.feed(b"12")
    decoder.restart()
    assert decoder.feed(b"34\n35\n") == [PlainLine(35, "35")]


def test_a_pattern_that_catches_no_number_is_damage():
    (damage,) = plain_decoder(r"(?P<count>[a-z]+)").feed(b"abc\n")
    assert isinstance(damage, Damage)


def test_the_boards_doubt_its_number_and_its_answers_are_read():
    data = framed("hall 1 3 17 4321 -260 4 8") + framed(
        "hall hello turnproof-1 sensors=2 magnets=4 boot=9 board=E66118"
    )
    data += framed("hall ok aim boot=9 at=0 target=400 run=0") + framed("hall no leap: expected where")
    line, greeting, taken, refused = HallDecoder().feed(data)
    assert (line.edges, line.per, line.doubt) == (-260, 4, 8)
    assert (greeting.board, greeting.magnets) == ("E66118", 4)
    assert isinstance(taken, Answer)
    assert (taken.taken, taken.words) == (True, "aim boot=9 at=0 target=400 run=0")
    assert (refused.taken, refused.words) == (False, "leap: expected where")


def test_a_pattern_that_others_run_away_with_takes_no_time():
    # nested repeats: exponential for a matcher that goes back; 0.1 s is a thousand times what this one needs
    decoder = plain_decoder(r"((a+)+)+(?P<count>[0-9]+)b")
    begun = time.perf_counter()
    (damage,) = decoder.feed(b"a" * 70 + b"\n")
    assert isinstance(damage, Damage)
    assert time.perf_counter() - begun < 0.1


@given(st.lists(st.binary(max_size=60), max_size=12), st.integers(0, 2**29), st.integers(-(2**29), 2**29))
def test_whatever_came_before_a_line_on_its_own_is_read(rubbish, number, edges):
    decoder = HallDecoder()
    for data in rubbish:
        for decoded in decoder.feed(data):
            assert isinstance(decoded, (Damage, HallLine, Hello, Answer))
    decoder.feed(b"\n")
    (line,) = decoder.feed(hall(1, number, 5, edges, 8))
    assert (line.line, line.edges) == (number, edges)


@given(st.binary(max_size=200), st.integers(0, 200))
def test_bytes_mean_the_same_however_they_are_cut(data, cut):
    whole, parts = HallDecoder(), HallDecoder()
    assert whole.feed(data) == parts.feed(data[:cut]) + parts.feed(data[cut:])
