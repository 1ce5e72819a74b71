"""One message to a meter that echoes, prompts or acknowledges, and whatever comes back to it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drivers.dialogue import Dialogue, Outcome, Refused, Taken, Unended, Unexpected
from drivers.exchange import Answered, Glued, TimedOut, TooLong
from drivers.line_pattern import line_pattern
from drivers.manners import Manners

PROMPTS = Manners(prompt=b"=>", command_error=b"?>", execution_error=b"!>")
ECHO = Manners(echo=True, prompt=b"=>", command_error=b"?>", execution_error=b"!>")
WORDS = Manners(acknowledge=b"OK", refusal=b"nOK")
CHATTY = Manners(skip=(line_pattern("# .*"),))


def heard(
    data: bytes, manners: Manners, *, query: bool = True, message: bytes = b"VAL?", **more: object
) -> Outcome | None:
    return Dialogue(10.0, message, manners, query=query, terminator=b"\r\n", **more).feed(data, 1.0)


@pytest.mark.parametrize(
    ("data", "manners", "outcome"),
    [
        (b"5.0\r\n=>\r\n", PROMPTS, Answered(b"5.0")),
        (b"VAL?\r\n5.0\r\n=>\r\n", ECHO, Answered(b"5.0")),
        (b"VAL?\r\r\n\r\n5.0\r\n=>\r\n", ECHO, Answered(b"5.0")),
        (b"5.0\r\n", WORDS, Answered(b"5.0")),
        (b"# 23 C\r\n5.0\r\n", CHATTY, Answered(b"5.0")),
        (b"5.0\r\n5.0\r\n=>\r\n", PROMPTS, Answered(b"5.0", 1)),
        (b"?>\r\n", PROMPTS, Refused("?> (command error)")),
        (b"5.0\r\n!>\r\n", PROMPTS, Refused("!> (execution error)")),
        (b"nOK\r\n", WORDS, Refused("nOK")),
        (b"=>\r\n", PROMPTS, Unexpected(b"=>", "an answer")),
        (b"5.0\r\n", ECHO, Unexpected(b"5.0", "the echo")),
        (b"5.0\r\n6.0\r\n=>\r\n", PROMPTS, Glued((b"5.0", b"6.0"))),
        (b"5.0\r\n=>\r\n6.0\r\n", PROMPTS, Glued((b"5.0", b"6.0"))),
        (b"5.0\r\n", PROMPTS, None),
        (b"VAL?\r\n", ECHO, None),
        (b"# 23 C\r\n", CHATTY, None),
    ],
)
def test_a_question_is_over_when_all_has_been_said(data, manners, outcome):
    assert heard(data, manners) == outcome


@pytest.mark.parametrize(
    ("data", "manners", "outcome"),
    [
        (b"=>\r\n", PROMPTS, Taken()),
        (b"VAL?\r\n=>\r\n", ECHO, Taken()),
        (b"VAL?\r\n", Manners(echo=True), Taken()),
        (b"OK\r\n", WORDS, Taken()),
        (b"nOK\r\n", WORDS, Refused("nOK")),
        (b"VAL?\r\n!>\r\n", ECHO, Refused("!> (execution error)")),
        (b"5.0\r\n=>\r\n", PROMPTS, Unexpected(b"5.0", "the prompt")),
        (b"OK\r\nOK\r\n", WORDS, Glued((b"OK", b""))),
        (b"VAL?\r\n", ECHO, None),
    ],
)
def test_a_command_is_taken_when_the_meter_says_so(data, manners, outcome):
    assert heard(data, manners, query=False) == outcome


def test_a_prompt_without_an_end_of_line_is_one_where_the_profile_says_so():
    open_ended = Manners(prompt=b">", prompt_ends_line=False)
    assert heard(b"5.0\r\n>", open_ended) == Answered(b"5.0")
    assert heard(b"5.0\r\n>", Manners(prompt=b">")) is None


def test_an_answer_without_its_prompt_is_not_taken():
    waiting = Dialogue(10.0, b"VAL?", PROMPTS, query=True)
    assert waiting.feed(b"5.0\n", 1.0) is None
    assert waiting.feed(b"", 10.0) == Unended((b"5.0",), "the prompt")


def test_silence_and_a_piece_end_at_the_deadline():
    waiting = Dialogue(10.0, b"VAL?", ECHO, query=True)
    assert waiting.feed(b"VA", 9.9) is None
    assert waiting.feed(b"", 10.0) == TimedOut(b"VA")


def test_a_flood_is_stopped():
    assert isinstance(heard(b"x" * 100, PROMPTS, line_limit=20), TooLong)


@given(st.data())
def test_in_whatever_pieces_it_comes_the_outcome_is_the_same(data):
    whole = data.draw(
        st.sampled_from([b"VAL?\r\n5.0\r\n=>\r\n", b"VAL?\r\n!>\r\n", b"VAL?\r\n\r\n-1.5E+0\r\n\r\n=>\r\n"])
    )
    cuts = sorted(data.draw(st.sets(st.integers(1, len(whole) - 1))))
    waiting = Dialogue(10.0, b"VAL?", ECHO, query=True, terminator=b"\r\n")
    outcome = None
    for start, end in zip([0, *cuts], [*cuts, len(whole)], strict=True):
        outcome = outcome or waiting.feed(whole[start:end], 1.0)
    assert outcome == heard(whole, ECHO)


@given(st.lists(st.sampled_from([b"5.0", b"6.0", b"VAL?", b"=>", b"?>", b"!>", b"", b"# x"]), max_size=6))
def test_a_number_is_answered_only_between_its_own_echo_and_a_good_prompt(lines):
    outcome = heard(b"".join(line + b"\r\n" for line in lines), ECHO)
    if isinstance(outcome, Answered):
        said = [line for line in lines if line]
        assert said[0] == b"VAL?"
        assert {*said[1:]} == {outcome.line, b"=>"}
