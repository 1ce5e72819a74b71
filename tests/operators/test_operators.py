"""Operators: JSON lines for a fixture, a person at a terminal."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.acceptance.ask import MalformedReply, Reply, ReplyKind, ask_object, parse_reply
from bench.acceptance.requests import Confirm, Connect, Enter, Excite, OperatorRequest
from bench.dashboard.acceptance.asking import card_of
from bench.operators.json_lines import JsonLinesOperator
from bench.operators.terminal import TerminalOperator
from drivers.reading import Quantity
from tests.acceptance.ideal_bench import coastal_receiver

CONNECT = Connect(
    "polarity:ht", Quantity.VOLTAGE_AC, "primary.start", "ht.centre", winding="ht",
    links=(("primary.finish", "ht.finish"),), text="Join two.", cautions=("Mind the ends.",), expected=10.0,
)  # fmt: skip
EXCITE = Excite("ratio", "primary", "primary.start", "primary.finish", 11.2, 50.0, hazard=24.0)
ENTER = Enter("insulation:ht", Quantity.INSULATION_RESISTANCE, "One minute.", "Mohm", between=("ht", "rest"))
CONFIRM = Confirm("start", "Unplugged.", ("Local code first.",))


@pytest.mark.parametrize("request_", [CONNECT, EXCITE, ENTER, CONFIRM])
def test_every_ask_carries_schema_id_and_kind(request_: OperatorRequest) -> None:
    ask = ask_object(request_, "a7")
    assert (ask["schema"], ask["id"]) == (1, "a7")
    assert ask["ask"] == type(request_).__name__.lower()
    json.dumps(ask)


def test_an_ask_names_terminals_volts_and_hazard_with_units() -> None:
    assert ask_object(CONNECT, "a")["links"] == [["primary.finish", "ht.finish"]]
    assert ask_object(CONNECT, "a")["range"] == "10 V"
    excite = ask_object(EXCITE, "a")
    assert (excite["volts"], excite["hertz"], excite["hazard"]) == ("11.2 V", "50 Hz", "24 V")
    assert ask_object(ENTER, "a")["between"] == ["ht", "rest"]


def test_how_to_switch_off_is_said_to_every_operator() -> None:
    slowly = replace(EXCITE, volts=0.0, text="Run the volts slowly down to zero.")
    assert ask_object(slowly, "a")["text"] == "Run the volts slowly down to zero."
    assert "text" not in ask_object(EXCITE, "a")
    assert card_of(slowly, None).do == "Run the volts slowly down to zero."
    said: list[str] = []
    TerminalOperator(coastal_receiver(), said.append, lambda prompt: "").ask(slowly)
    assert "> Run the volts slowly down to zero." in said


def test_the_leads_of_a_screen_are_named_with_their_marks() -> None:
    between = replace(CONNECT, from_terminal="screen.lead", to_terminal="screen.far_lead", links=())
    said: list[str] = []
    TerminalOperator(coastal_receiver(), said.append, lambda prompt: "").ask(between)
    assert "  voltage_ac from screen.lead, E (green-yellow) to screen.far_lead, T (white)" in said
    assert [str(clip) for clip in card_of(between, coastal_receiver()).clips] == [
        "screen.lead   E (green-yellow)", "screen.far_lead   T (white)",
    ]  # fmt: skip


def _json(*lines: str) -> tuple[JsonLinesOperator, io.StringIO]:
    out = io.StringIO()
    return JsonLinesOperator(io.StringIO("".join(line + "\n" for line in lines)), out), out


@pytest.mark.parametrize(
    "rubbish",
    [
        "hello",
        '["a1"]',
        '{"id": "a9", "done": true}',
        '{"id": "a1"}',
        '{"id": "a1", "done": false}',
        '{"id": "a1", "done": true, "skip": "no"}',
        '{"id": "a1", "value": "5 Mohm"}',
        '{"id": "a1", "skip": ""}',
        '{"id": "a1", "skip": "\\ud800"}',
        "[" * 5000,
        '{"id": "a1", "done": true, "x": "' + "y" * 20_000 + '"}',
    ],
)
def test_a_malformed_reply_is_asked_again_with_what_was_expected(rubbish: str) -> None:
    operator, out = _json(rubbish, "", '{"id": "a1", "done": true}')
    assert operator.ask(CONNECT) == Reply(ReplyKind.DONE)
    first, second = (json.loads(line) for line in out.getvalue().splitlines())
    assert "problem" not in first
    assert "expected" in second["problem"]


@pytest.mark.parametrize(
    ("line", "reply"),
    [
        ('{"id": "a1", "value": "850 Mohm"}', Reply(ReplyKind.VALUE, "850 Mohm")),
        ('{"id": "a1", "skip": "no tester"}', Reply(ReplyKind.SKIP, "no tester")),
        ('{"id": "a1", "stop": "fire drill"}', Reply(ReplyKind.STOP, "fire drill")),
    ],
)
def test_replies_to_a_value(line: str, reply: Reply) -> None:
    assert _json(line)[0].ask(ENTER) == reply


def test_the_end_of_input_means_stop() -> None:
    assert _json()[0].ask(CONNECT) == Reply(ReplyKind.STOP, "end of input")


@given(st.text(max_size=200))
def test_no_line_at_all_is_more_than_malformed(line: str) -> None:
    ask = ask_object(ENTER, "a1")
    outcome = _outcome(lambda: parse_reply(line, ask))
    assert outcome in ("reply", "malformed")


def _outcome(call: Callable[[], object]) -> str:
    try:
        call()
    except MalformedReply:
        return "malformed"
    return "reply"


def _terminal(*answers: str) -> tuple[TerminalOperator, list[str]]:
    said: list[str] = []
    left: Iterator[str] = iter(answers)

    def read(prompt: str) -> str:
        said.append(prompt)
        try:
            return next(left)
        except StopIteration:
            raise EOFError from None

    return TerminalOperator(coastal_receiver(), said.append, read), said


def test_a_person_sees_cautions_then_what_to_do_with_tags_and_colours() -> None:
    operator, said = _terminal("")
    assert operator.ask(CONNECT) == Reply(ReplyKind.DONE)
    text = "\n".join(said)
    assert text.index("Mind the ends.") < text.index("Join two.")
    assert "ht.centre, 4 (red-yellow)" in text
    assert "join primary.finish, 2 (black-white) and ht.finish, 5 (red)" in text


def test_a_person_sees_the_most_volts_on_any_terminal() -> None:
    operator, said = _terminal("")
    operator.ask(EXCITE)
    assert "The most on any terminal of this unit: 24 V." in "\n".join(said)


@pytest.mark.parametrize(
    ("answers", "reply"),
    [
        (("s", "1"), Reply(ReplyKind.SKIP, "no instrument for it")),
        (("s", "the cat sleeps on it"), Reply(ReplyKind.SKIP, "the cat sleeps on it")),
        (("s", ""), Reply(ReplyKind.SKIP, "no reason given")),
        (("q", "supper"), Reply(ReplyKind.STOP, "supper")),
        ((), Reply(ReplyKind.STOP, "end of input")),
        (("what?", "yes"), Reply(ReplyKind.DONE)),
    ],
)
def test_skip_stop_done_and_the_end_of_input(answers: tuple[str, ...], reply: Reply) -> None:
    assert _terminal(*answers)[0].ask(CONNECT) == reply


def test_an_empty_answer_is_no_value() -> None:
    operator, said = _terminal("", "850")
    assert operator.ask(ENTER) == Reply(ReplyKind.VALUE, "850")
    assert any("a value is due" in line for line in said)
