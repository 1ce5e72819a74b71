"""A counted go of stripping against a counter made of values: what is kept, said and never called a count."""

from __future__ import annotations

import io
import json
import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import pytest

from bench.cli.survey_views import JsonStripView, TerminalStripView
from bench.job.profiles import example_job
from bench.sitting import coming_off
from bench.survey.interval import Interval
from bench.survey.stripping import Stripping
from drivers.counting import BadLine, Broken, Count
from tests.cli.conftest import Ended
from tests.cli.running import lines

Run = Callable[..., Ended]
JOB = str(example_job("gate-opener"))
STRIP = ("survey", JOB, "--strip", "supply24", "--counter", "hall@/dev/counter", "--json")
LONG = (*STRIP, "--rest", "60")  # the input ends at once: without it the go would too


class Board:
    """Gives its events poll by poll; at the end of them the person at the keyboard is what ends the go."""

    def __init__(self, *polls: list[Any], edge: dict[str, Any] | None = None) -> None:
        self._polls = list(polls)
        self._last: Count | None = None
        self.profile = SimpleNamespace(
            plain=None if edge is None else SimpleNamespace(**edge),
            max_speed=None, max_acceleration=None, latency_s=0.0, direction="known",
        )  # fmt: skip
        self.identity = self.board = None
        self.preset: float | None = None
        self.restored: object = None

    def poll(self, timeout_s: float) -> list[Any]:
        events = self._polls.pop(0) if self._polls else []
        if not events and not self._polls:
            raise KeyboardInterrupt
        self._last = next((one for one in reversed(events) if isinstance(one, Count)), self._last)
        return events

    def snapshot(self) -> dict[str, object] | None:
        return None if self._last is None else {"schema": 1, "last": [1, 1, 0, 0, 4, "raw"], "turns": self._last.turns}

    def set_count(self, turns: float, reason: str) -> None:
        self.preset = turns

    def restore(self, saved: object) -> None:
        self.restored = saved


@pytest.fixture
def board(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Board]:
    def made(*polls: list[Any], edge: dict[str, Any] | None = None) -> Board:
        one = Board(*polls, edge=edge)

        @contextmanager
        def opened(*_: Any, **__: Any) -> Iterator[Board]:
            yield one

        monkeypatch.setattr(coming_off, "open_counter", opened)
        return one

    return made


def at(turns: float, low: float | None = None, high: float | None = None) -> Count:
    return Count(turns, turns if low is None else low, turns if high is None else high, -2.0, 0.0, "raw")


def kept(run: Run, kind: str) -> list[dict[str, Any]]:
    entries = json.loads(run("record", JOB, "--json").out)["entries"]
    return [one["body"] for one in entries if one["kind"] == kind]


def test_each_move_is_kept_before_it_is_shown_and_a_count_that_stands_is_not_kept_twice(
    run: Run, board: Callable[..., Board]
) -> None:
    one = board([at(0.0)], [at(-1.0), at(-2.0)], [at(-2.0)], [at(-3.0)])
    ended = run(*LONG)
    assert ended.status == 130
    assert one.preset == 0.0
    assert [body["position"] for body in kept(run, "strip count")] == [0.0, -2.0, -3.0]
    assert [said["off"] for said in lines(ended.out)[1:]] == [0.0, 2.0, 3.0]
    assert "supply24: 3 turns off so far, kept" in ended.error


def test_a_go_that_was_broken_off_goes_on_from_the_board_s_own_count(run: Run, board: Callable[..., Board]) -> None:
    board([at(0.0)], [at(-100.0)])
    run(*LONG)
    again = board([at(-130.0)])
    run(*LONG)
    assert again.restored == kept(run, "strip count")[-2]["counter"]
    assert kept(run, "strip count")[-1]["off"] == 130.0


def test_after_a_go_that_was_ended_the_spindle_may_turn_freely(run: Run, board: Callable[..., Board]) -> None:
    board([at(0.0)], *[[at(-100.0)]] * 20000)
    assert run(*STRIP, "--rest", "0.1").status == 2
    # The same counter keeps its sense: a little wound on first is no more than that.
    again = board([at(0.0)], [at(1.2)], [at(-6.0)])
    run(*LONG)
    assert (again.preset, again.restored) == (0.0, None)
    assert [body["off"] for body in kept(run, "strip count")[-2:]] == [98.8, 106.0]
    assert kept(run, "strip count")[-1]["stripping"]["goes"] == 2


@pytest.mark.parametrize(
    ("edge", "within"), [(None, 0.25), ({"edges_per_turn": 1}, 1.0), ({"edges_per_turn": 100}, 0.1)]
)
def test_the_half_width_of_a_count_knows_the_counter_s_edges(
    run: Run, board: Callable[..., Board], edge: dict[str, Any] | None, within: float
) -> None:
    board([at(0.0)], [at(-186.0)], *[[at(-186.0)]] * 20000, edge=edge)
    ended = run(*STRIP, "--rest", "0.1", "--done")
    result = lines(ended.out)[-1]["result"]
    assert (result["turns"], result["within"], result["how"]) == (186.0, within, "counter")


def test_a_lost_count_is_never_a_count_until_a_person_says_how_many(run: Run, board: Callable[..., Board]) -> None:
    lost = at(-186.0, -math.inf, math.inf)
    board([at(0.0)], [Broken("the board started anew", 0.0), lost], *[[lost]] * 20000)
    ended = run(*STRIP, "--rest", "0.1", "--done")
    assert ended.status == 2
    assert "the count is lost, say how many turns are off in all with --from TURNS" in ended.error
    assert lines(ended.out)[-1]["high"] is None
    assert kept(run, "stripped") == []
    run("survey", JOB, "--strip", "supply24", "--from", "186", typed="done\n")
    assert [body["turns"] for body in kept(run, "stripped")] == [186.0]


def test_how_a_go_by_a_counter_ends_is_said_once_at_its_start(run: Run, board: Callable[..., Board]) -> None:
    board([at(0.0)], [at(-186.0)], *[[at(-186.0)]] * 20000)
    ended = run(*[one for one in STRIP if one != "--json"], "--rest", "0.1", "--done")
    assert ended.out.count("Enter ends this go; so do 0.1 s without a move") == 1
    assert ended.out.index("Enter ends") < ended.out.index("off      0.0")


@pytest.mark.parametrize(("answer", "status"), [("y", 0), ("YES", 0), ("done", 2), ("ok", 2), ("", 2)])
def test_off_whole_is_taken_only_on_a_yes(
    run: Run, board: Callable[..., Board], answer: str, status: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    from bench.cli.typed_lines import TypedLines

    board([at(0.0)], [at(-186.0)], *[[at(-186.0)]] * 20000)
    taken = iter([None, None, "", None])
    monkeypatch.setattr(TypedLines, "take", lambda self: next(taken, None))
    monkeypatch.setattr(TypedLines, "at_end", lambda self: False)
    assert run(*STRIP, typed=f"{answer}\n").status == status
    assert len(kept(run, "stripped")) == (status == 0)


@pytest.mark.parametrize("word", ["q", "quit", "Q"])
def test_q_leaves_a_winding_as_far_as_it_is_off(run: Run, word: str) -> None:
    ended = run("survey", JOB, "--strip", "supply24", typed=f"100\n{word}\n")
    assert ended.status == 2
    assert "supply24: 100 turns off so far, kept" in ended.error
    assert "not off whole yet, so undecided, status 2" in ended.error
    assert "is no number of turns" not in ended.error


def test_the_half_line_at_the_start_is_not_told_and_the_next_one_is(run: Run, board: Callable[..., Board]) -> None:
    half, damaged = BadLine("12 8 5A2E", "not a line of this board", 0.0), BadLine("rubbish", "check sum", 0.0)
    board([half], [at(0.0)], [damaged], [at(-3.0)])
    ended = run(*LONG)
    assert "5A2E" not in ended.out
    assert "rubbish" in ended.out
    assert [body["raw"] for body in kept(run, "count event")] == ["rubbish"]


def test_a_winding_comes_off_by_its_name_in_any_capitals(run: Run) -> None:
    assert run("survey", JOB, "--strip", "SUPPLY24", typed="186\ndone\n").status == 0
    assert [body["winding"] for body in kept(run, "stripped")] == ["supply24"]
    wrong = run("survey", JOB, "--strip", "Suply24")
    assert (wrong.status, "did you mean supply24?" in wrong.error) == (3, True)


def test_an_unsure_count_keeps_its_interval(run: Run, board: Callable[..., Board]) -> None:
    unsure = at(-186.0, -188.0, -185.0)
    board([at(0.0)], *[[unsure]] * 20000)
    result = lines(run(*STRIP, "--rest", "0.1", "--done").out)[-1]["result"]
    assert (result["low"], result["high"], result["within"]) == (185.0, 188.0, 2.25)


def test_a_terminal_is_told_once_of_lines_that_do_not_fit_and_which_way_takes_turns_off() -> None:
    out = io.StringIO()
    view = TerminalStripView(out, Interval(186.0, 2.0), live=True, columns=lambda: 200)
    state = Stripping("ht").begun(0.125)
    view.count_event(BadLine("rubbish", "no fit", 0.0))
    view.count_event(BadLine("rubbish", "no fit", 0.0))
    view.moved(state.moved(-100.0, -101.0, -100.0), -2.0)
    view.moved(state.moved(-200.0, -200.0, -200.0), -2.0)
    view.ended()
    text = out.getvalue()
    assert text.count("no fit") == 1
    assert "off    100.0 (between 100.0 and 101.0) of 186.0 ±4.0  to go    86.0    120 rpm" in text
    assert "14.0 past what was expected" in text
    assert text.endswith("\n")


def test_a_live_line_is_cut_to_the_terminal() -> None:
    out = io.StringIO()
    TerminalStripView(out, None, live=True, columns=lambda: 12).moved(Stripping("ht").with_typed(5), 1.0)
    assert out.getvalue() == "\r\x1b[Kht  off    "


def test_at_rest_the_live_line_shows_no_speed() -> None:
    out = io.StringIO()
    view = TerminalStripView(out, None, live=True, columns=lambda: 200)
    state = Stripping("ht").begun(0.125).moved(-100.0, -100.0, -100.0)
    view.moved(state, -2.15)
    view.rested(state)
    first, second = out.getvalue().split("\r\x1b[K")[1:]
    assert first.endswith("129 rpm")
    assert second.endswith("    0 rpm")


def test_where_a_line_can_t_be_written_over_a_hundred_turns_make_one() -> None:
    out = io.StringIO()
    view = TerminalStripView(out, None, live=False)
    state = Stripping("ht").begun(0.125)
    for turns in range(250):
        view.moved(state.moved(-turns, -turns, -turns), -2.0)
    view.ended()
    assert len(out.getvalue().splitlines()) == 3


def test_json_has_null_where_nothing_is_known() -> None:
    out = io.StringIO()
    JsonStripView(out, None).moved(Stripping("ht").begun(0.1).moved(5, -math.inf, math.inf), None)
    (said,) = lines(out.getvalue())
    assert (said["expected"], said["to_go"], said["low"], said["high"], said["speed"]) == (None,) * 5
