"""What the answers of a meter mean."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.scpi import (
    AnswerForms,
    Damaged,
    DeviceError,
    ErrorText,
    NoValue,
    Overload,
    Value,
    build_command,
    classify,
    explained,
    parse_error,
    parse_number,
    unreadable,
)

FORMS = AnswerForms(overload_words=("OVLD", "OL"), no_value_words=("----",))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("5", 5.0),
        ("-5", -5.0),
        ("+0.05", 0.05),
        ("5.", 5.0),
        (".5", 0.5),
        ("+2.301200E+02", 230.12),
        ("1e3", 1000.0),
        (" 7.5", 7.5),
    ],
)
def test_the_three_numeric_forms_are_read(text, value):
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    ["", " ", "nan", "inf", "infinity", "1_0", "0x10", "1e", "e5", "+", ".", "1.2.3", "1,5", "5 V", "5 ", "١", "1E999"],
)
def test_what_float_or_a_prefix_would_take_is_refused(text):
    assert parse_number(text) is None


@given(st.floats(allow_nan=False, allow_infinity=False).map(lambda value: f"{value:+.8E}"))
def test_every_number_a_meter_writes_is_read_as_it_stands(text):
    assert parse_number(text) == float(text)


@given(st.text(max_size=12))
def test_whatever_is_read_is_a_finite_number(text):
    value = parse_number(text)
    assert value is None or math.isfinite(value)


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        (b"+2.301200E+02", Value(230.12)),
        (b"+9.90000000E+37", Overload()),
        (b"-9.9E37", Overload()),
        (b"9.91E37", NoValue()),
        (b"OVLD", Overload()),
        (b" OL ", Overload()),
        (b"----", NoValue()),
        (b'-221,"Settings conflict"', ErrorText(-221, "Settings conflict")),
    ],
)
def test_an_answer_is_told_apart_by_its_form(line, answer):
    assert classify(line, FORMS) == answer


@pytest.mark.parametrize(
    "line", [b"+2.3x1200E+02", b"1.0,2.0", b"230.1 VAC", b"8.8E37", b"READY", b"+2.30\x001200E+02", b"\xb2\xb3"]
)
def test_a_damaged_answer_is_no_value(line):
    assert isinstance(classify(line, FORMS), Damaged)


def test_bytes_of_another_frame_say_what_to_check():
    damaged = classify(b"\xab\xb2\xae\xb3", FORMS)
    assert isinstance(damaged, Damaged)
    assert damaged.frame
    assert "parity" in damaged.reason
    assert "ab b2 ae b3" in damaged.reason


@pytest.mark.parametrize(
    ("line", "error"),
    [
        (b'0,"No error"', DeviceError(0, "No error")),
        (b'+0, "No error"', DeviceError(0, "No error")),
        (b"0, No Error", DeviceError(0, "No Error")),
        (b'-113,"Undefined header; CONF:VLT, "x""', DeviceError(-113, 'Undefined header; CONF:VLT, "x"')),
        (b'702,"maker\'s own"', DeviceError(702, "maker's own")),
    ],
)
def test_the_error_queue_is_read_in_all_its_forms(line, error):
    assert parse_error(line) == error


def test_errors_are_told_as_they_stand_with_where_to_look_for_the_first():
    first, second = DeviceError(-113, "Undefined header; CONF:VLT"), DeviceError(-350, "")
    said = explained([first, second])
    assert said.startswith("-113 Undefined header; CONF:VLT; -350 Queue overflow (command error: ")
    assert "profile" in said
    assert explained([]) == "no error"


def test_a_maker_s_own_code_keeps_its_text_and_sends_to_the_manual():
    assert explained([DeviceError(702, "wibble")]) == "702 wibble (the maker's own code: see the meter's manual)"
    assert str(DeviceError(702, "")) == "702"


@pytest.mark.parametrize("line", [b"", b"No error", b"+1.0,2.0", b"0", b'\x000,"No error"'])
def test_what_is_no_error_entry_is_not_taken_for_one(line):
    assert parse_error(line) is None


@pytest.mark.parametrize(
    ("template", "full_scale", "command"),
    [
        ("CONF:VOLT:AC {range}", 0.1, "CONF:VOLT:AC 0.1"),
        ("CONF:RES {range}", 1e7, "CONF:RES 10000000"),
        ("CONF:FREQ", 3e5, "CONF:FREQ"),
        ("FUNC {volts};RANG {range}", 10.0, "FUNC {volts};RANG 10"),
    ],
)
def test_only_the_range_is_put_into_a_command(template, full_scale, command):
    assert build_command(template, full_scale) == command


def test_a_command_that_needs_a_range_is_not_built_without():
    with pytest.raises(ValueError, match="needs a range"):
        build_command("CONF:RES {range}")


def test_plain_text_is_readable():
    assert unreadable(b'"VOLT:AC 1.0E+01"\r\n') is None
