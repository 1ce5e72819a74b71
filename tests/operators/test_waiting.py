"""A wait at a terminal and as JSON: what is left is shown, and it can be cut short with a reason."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator

import pytest

from bench.acceptance.ask import Reply, ReplyKind, ask_object
from bench.acceptance.requests import Wait
from bench.dashboard.acceptance.asking import card_of
from bench.operators.json_lines import JsonLinesOperator
from bench.operators.terminal import TerminalOperator
from bench.operators.waiting import TerminalPause
from tests.acceptance.ideal_bench import coastal_receiver

WAIT = Wait("soak", 1800.0, "Leave it on without load.", ("Stay by it.",))


class Sitting:
    """A terminal whose clock goes by what is waited for; Enter is pressed once so many seconds have passed."""

    def __init__(self, enter_after: float | None, *answers: str, overwrites: bool = True) -> None:
        self.now = 0.0
        self.said: list[str] = []
        self.rung = 0
        self._enter_after = enter_after
        self._answers: Iterator[str] = iter(answers)
        pause = TerminalPause(self.pressed, self.said.append, lambda: self.now, overwrites=overwrites)
        self.operator = TerminalOperator(coastal_receiver(), self.said.append, self.read, self.ring, pause=pause)

    def pressed(self, seconds: float) -> bool:
        self.now += seconds
        return self._enter_after is not None and self.now >= self._enter_after

    def read(self, prompt: str) -> str:
        self.said.append(prompt)
        try:
            return next(self._answers)
        except StopIteration:
            raise EOFError from None

    def ring(self) -> None:
        self.rung += 1


def test_the_time_that_is_left_is_shown_until_it_is_over() -> None:
    sitting = Sitting(None)
    assert sitting.operator.ask(WAIT) == Reply(ReplyKind.DONE)
    text = "\n".join(sitting.said)
    assert text.index("Stay by it.") < text.index("Leave it on without load. 30 min.")
    assert "30:00 left; Enter ends it early" in text
    assert "0:01 left" in text
    assert sitting.now == pytest.approx(1800)
    assert sitting.rung == 1


def test_where_nothing_can_be_overwritten_a_line_comes_each_minute() -> None:
    sitting = Sitting(None, overwrites=False)
    sitting.operator.ask(WAIT)
    assert sum("left" in line for line in sitting.said) == 30


def test_hours_are_shown_as_hours() -> None:
    sitting = Sitting(None)
    sitting.operator.ask(Wait("heat_run:primary", 7200.0, "Leave it."))
    assert any("2:00:00 left" in line for line in sitting.said)


@pytest.mark.parametrize(
    ("answers", "reply"),
    [
        (("smoke",), Reply(ReplyKind.SKIP, "ended early: smoke")),
        (("",), Reply(ReplyKind.SKIP, "ended early: no reason given")),
        (("q", "fire"), Reply(ReplyKind.STOP, "fire")),
        ((), Reply(ReplyKind.STOP, "end of input")),
    ],
)
def test_it_is_cut_short_with_a_reason(answers: tuple[str, ...], reply: Reply) -> None:
    sitting = Sitting(90.0, *answers)
    assert sitting.operator.ask(WAIT) == reply
    assert sitting.now == pytest.approx(90)


def test_without_a_clock_it_is_asked_for_when_it_is_over() -> None:
    said: list[str] = []
    operator = TerminalOperator(coastal_receiver(), said.append, lambda prompt: "")
    assert operator.ask(WAIT) == Reply(ReplyKind.DONE)
    assert any("Enter when the time is over" in line for line in said)


def test_a_fixture_is_told_the_seconds_and_says_done() -> None:
    assert ask_object(WAIT, "a1") == {
        "schema": 1, "id": "a1", "step": "soak", "cautions": ["Stay by it."], "ask": "wait", "seconds": 1800.0,
        "text": "Leave it on without load.",
    }  # fmt: skip
    out = io.StringIO()
    operator = JsonLinesOperator(io.StringIO('{"id": "a1", "value": "5"}\n{"id": "a1", "done": true}\n'), out)
    assert operator.ask(WAIT) == Reply(ReplyKind.DONE)
    assert "problem" in json.loads(out.getvalue().splitlines()[1])


def test_the_card_says_how_long() -> None:
    card = card_of(WAIT, coastal_receiver())
    assert card.do == "Leave it on without load. 30 min."
    assert card.cautions == ("Stay by it.",)
