"""A reading as each dialect writes it: only what the profile declares is taken for a number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.answer_shape import AnswerShape, classify_reading
from drivers.line_pattern import line_pattern
from drivers.scpi import Answer, AnswerForms, Damaged, ErrorText, NoValue, Overload, Value

FORMS = AnswerForms(overload_values=(9.9e37, 1e9), overload_words=("OL",), no_value_words=("----",))
VOLTS = {"V AC": 1.0, "mV AC": 1e-3}
TRIPLE = AnswerShape(separator=",", element=2, count=3)


def read(line: bytes, shape: AnswerShape = AnswerShape(), units: dict[str, float] | None = None) -> Answer:  # noqa: B008
    return classify_reading(line, FORMS, shape, units or {})


@pytest.mark.parametrize(
    ("line", "shape", "units", "value"),
    [
        (b" 230.1 V AC", AnswerShape(), VOLTS, 230.1),
        (b"17.5 mV AC", AnswerShape(), VOLTS, 0.0175),
        (b"+2.3012E+02VAC", AnswerShape(), {"VAC": 1.0}, 230.12),
        (b"5,OHM", AnswerShape(), {",OHM": 1.0}, 5.0),
        (b"6,30", AnswerShape(decimal_comma=True), {}, 6.3),
        (b"-6,30 V", AnswerShape(decimal_comma=True), {"V": 1.0}, -6.3),
        (b"+0.2,+6.3E0,+00017", TRIPLE, {}, 6.3),
        (b"0,2;6,3;17", AnswerShape(decimal_comma=True, separator=";", element=2, count=3), {}, 6.3),
        (b"V= 6.30", AnswerShape(number=line_pattern(r"V= {0,3}(?P<value>.*)")), {}, 6.3),
        (b"6.3,12:30:05", AnswerShape(separator=",", count=2, other_elements=line_pattern(r"\d\d:\d\d:\d\d")), {}, 6.3),
    ],
)
def test_what_is_declared_is_read(line, shape, units, value):
    answer = read(line, shape, units)
    assert isinstance(answer, Value)
    assert answer.value == pytest.approx(value)


@pytest.mark.parametrize(
    ("line", "shape", "units"),
    [
        (b"230.1", AnswerShape(), VOLTS),
        (b"230.1 V DC", AnswerShape(), VOLTS),
        (b"230.1 V AC x", AnswerShape(), VOLTS),
        (b"230.1 kV AC", AnswerShape(), VOLTS),
        (b"23x.1 V AC", AnswerShape(), VOLTS),
        (b"6.30", AnswerShape(decimal_comma=True), {}),
        (b"6,3,0", AnswerShape(decimal_comma=True), {}),
        (b"6,30", AnswerShape(over_range_prefix=">"), {}),
        (b"+6.3,+0.2", TRIPLE, {}),
        (b"+6.3,+0.2,+1,+2", TRIPLE, {}),
        (b"+6.3,,+1", TRIPLE, {}),
        (b"volts,+6.3,+1", TRIPLE, {}),
        (b">", AnswerShape(over_range_prefix=">"), {}),
        (b"> high", AnswerShape(over_range_prefix=">"), {}),
        (b">230", AnswerShape(decimal_comma=True), {}),
        (b"V= nan", AnswerShape(number=line_pattern("V= (?P<value>.*)")), {}),
        (b"\xb6.3 V AC", AnswerShape(), VOLTS),
        (b"6.3\x00 V AC", AnswerShape(), VOLTS),
    ],
)
def test_what_is_not_declared_is_no_reading(line, shape, units):
    assert isinstance(read(line, shape, units), Damaged)


@pytest.mark.parametrize(
    ("line", "shape", "units", "answer"),
    [
        (b">700,0", AnswerShape(decimal_comma=True, over_range_prefix=">"), {}, Overload()),
        (b" > 20.0 V AC", AnswerShape(over_range_prefix=">"), VOLTS, Overload()),
        (b"  OL V AC", AnswerShape(), VOLTS, Overload()),
        (b"OL", AnswerShape(), VOLTS, Overload()),
        (b"+1E+9 V AC", AnswerShape(), VOLTS, Overload()),
        (b"+1E+9 mV AC", AnswerShape(), VOLTS, Overload()),
        (b"+0.2,+9.9E+37,+1", TRIPLE, {}, Overload()),
        (b"---- V AC", AnswerShape(), VOLTS, NoValue()),
        (b'-221,"Settings conflict"', AnswerShape(separator=",", count=2), {}, ErrorText(-221, "Settings conflict")),
        (b'-221,"Settings conflict"', AnswerShape(), VOLTS, ErrorText(-221, "Settings conflict")),
    ],
)
def test_states_and_errors_are_told_from_numbers_in_every_shape(line, shape, units, answer):
    assert read(line, shape, units) == answer


def test_a_wrong_unit_asks_for_the_dial():
    damaged = read(b"230.1 V DC", AnswerShape(), VOLTS)
    assert isinstance(damaged, Damaged)
    assert (
        damaged.reason
        == "'230.1 V DC' is no reading, expected a number in V AC or mV AC; is the meter on this function?"
    )


@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_every_number_that_is_written_with_a_comma_and_a_unit_is_read_as_it_stands(value, places):
    text = f"{value:.{places}f}"
    answer = read(text.replace(".", ",").encode() + b" V", AnswerShape(decimal_comma=True), {"V": 1.0})
    assert answer == Value(float(text))


@given(st.lists(st.floats(-1e6, 1e6).map(lambda v: f"{v:+.4E}"), min_size=1, max_size=6))
def test_a_list_is_read_only_at_its_length(texts):
    answer = read(",".join(texts).encode(), TRIPLE)
    assert answer == Value(float(texts[1])) if len(texts) == 3 else isinstance(answer, Damaged)


@given(st.binary(max_size=24))
def test_no_bytes_raise_and_a_value_is_finite(line):
    for shape in (TRIPLE, AnswerShape(decimal_comma=True, over_range_prefix=">")):
        answer = read(line, shape, VOLTS)
        assert not isinstance(answer, Value) or abs(answer.value) < 1e30
