"""The whole-terminal view of a winding: what stands on it, whatever its size."""

from __future__ import annotations

import io
import os
import re

import pytest

from bench.cli.big_figures import big_figures
from bench.cli.key_line import KeyLine
from bench.cli.keys import split_keys
from bench.cli.winding_panel import Panel, PanelText, panel_lines
from bench.design.plan import plan_of
from bench.job.file import read_job
from bench.job.profiles import example_job
from bench.winding.course import course_of
from bench.winding.orders import KEYS, Act, Order
from bench.winding.progress import Progress, progress_of
from drivers.counting import BadLine, Count, LinkCameBack, LinkWentAway

JOB = read_job(example_job("coastal-receiver"))
PLAN = plan_of(JOB)
PRIMARY = JOB.get_winding("primary")
COURSE = course_of(PRIMARY, 662, PLAN)
SIGNS = re.compile(r"\x1b\[\d*m")


def progress(turns: float, *waiting: str, slack: float = 0.0, left_out: float | None = None) -> Progress:
    count = Count(turns, turns - slack, turns + slack, 2.0, 0.0)
    return progress_of(PRIMARY, 662, count, COURSE, waiting=waiting, left_out=left_out, pace=2.0)


def shown(one: Progress | None, columns: int = 80, rows: int = 24, **text: object) -> list[str]:
    lines = panel_lines(one, PanelText("primary: 662 turns", **text), PLAN.winding("primary"), columns, rows)
    return [SIGNS.sub("", line) for line in lines]


@pytest.mark.parametrize("columns", [40, 80, 100, 200])
@pytest.mark.parametrize("rows", [12, 24, 30, 60])
@pytest.mark.parametrize(
    "one",
    [None, progress(12.5), progress(90, "end of layer 1"), progress(300, slack=7), progress(20, left_out=3.0)],
    ids=["nothing yet", "winding", "waiting", "unsure", "held"],
)
def test_it_fills_the_terminal_and_never_more(one: Progress | None, columns: int, rows: int) -> None:
    lines = shown(one, columns, rows, happened=("a", "b", "c", "d"), said="done")
    assert len(lines) == rows
    assert max(map(len, lines)) <= columns


def test_all_that_counts_is_there_at_80_by_24() -> None:
    text = "\n".join(shown(progress(90.0, "end of layer 1")))
    words = " ".join(text.split())
    assert "NOW [space: done] end of layer 1: insulation 0.05 mm, flange to flange, then to the left" in words
    assert "to go  572.0   about 4 min 46 s   120 rpm" in text
    assert "layer 2 of 8" in text
    assert "next end of layer 2 in 86.0 turns: insulation 0.05 mm, flange to flange, then to the right" in words
    assert "█" in text


def test_a_count_that_is_not_certain_says_how_to_find_out() -> None:
    lines = shown(progress(300.0, slack=7.0))
    text = "\n".join(lines)
    assert "(not certain)" in text
    assert "between 293.0 and 307.0" in text
    assert "count the turns of layer 4 with a needle; the layers before it hold 264" in text
    (ohms,) = re.findall(r"ohms so far: ([\d.]+) for 293 turns, ([\d.]+) for 307", text)
    whole = PLAN.winding("primary").resistance
    # the first layers have shorter turns than the last
    assert 0.9 * whole * 293 / 662 < float(ohms[0]) < float(ohms[1]) < whole * 307 / 662


def test_a_hold_is_told_by_words_and_not_by_colour() -> None:
    text = "\n".join(shown(progress(20.0, left_out=3.0)))
    assert "ON HOLD" in text
    assert "+3.0 on hold: space leaves that out, a adds it" in text


def test_a_count_whose_line_is_away_does_not_look_like_one_that_is_there() -> None:
    out = io.StringIO()
    panel = Panel(out, PRIMARY, None, title="primary", size=lambda: os.terminal_size((80, 24)), clock=lambda: 0.0)
    panel.open()
    panel.progressed(progress(20.0))
    before = len(out.getvalue())
    panel.count_event(LinkWentAway("out", 0.0))
    assert "NO LINE FROM THE COUNTER: the count is its last" in out.getvalue()[before:]
    before = len(out.getvalue())
    panel.count_event(LinkCameBack(1.0, 0.0))
    panel.progressed(progress(21.0))
    assert "NO LINE" not in out.getvalue()[before:]


def test_every_key_is_explained() -> None:
    text = "\n".join(shown(progress(20.0), rows=50, help=True))
    assert all(order.says in text for key, order in KEYS.items() if key != "\n")


def test_a_tap_stands_before_the_layers_that_wait_with_it() -> None:
    ht = JOB.get_winding("ht")
    course = course_of(ht, ht.turns, PLAN)
    names = ("end of layer 1", "end of layer 2", "end of layer 3", "tap centre")
    one = progress_of(ht, ht.turns, Count(790.0, 790.0, 790.0, 1.0, 0.0), course, waiting=names)
    lines = [line for line in shown(one) if "NOW" in line or "more behind" in line]
    assert "tap centre" in lines[0]
    assert "end of layer 3" in lines[1]
    assert "and 2 more behind" in lines[2]


def test_another_size_paints_everything_anew() -> None:
    out, sizes = io.StringIO(), [(80, 24)]
    panel = Panel(out, PRIMARY, None, title="primary", size=lambda: os.terminal_size(sizes[-1]), clock=lambda: 0.0)
    panel.open()
    panel.progressed(progress(10.0))
    before = len(out.getvalue())
    sizes.append((60, 15))
    panel.looked()
    painted = out.getvalue()[before:]
    assert "\x1b[2J" in painted
    assert "█" in painted


def test_figures_are_as_large_as_there_is_room_for() -> None:
    heights = [len(big_figures("662.0", columns, rows)) for columns, rows in ((10, 20), (40, 9), (60, 12), (100, 20))]
    assert heights == [1, 5, 10, 15]


def test_only_what_changed_is_painted_and_the_screen_is_given_back() -> None:
    out = io.StringIO()
    panel = Panel(out, PRIMARY, PLAN.winding("primary"), title="primary", size=lambda: (80, 24), clock=lambda: 0.0)
    panel.open()
    panel.progressed(progress(10.0))
    whole = len(out.getvalue())
    panel.progressed(progress(10.0))
    assert len(out.getvalue()) == whole
    panel.happened("a line was lost")
    assert "a line was lost" in out.getvalue()[whole:]
    assert len(out.getvalue()) - whole < 200
    panel.close()
    assert out.getvalue().endswith("\x1b[?25h\x1b[?1049l")


def test_damage_in_a_row_is_told_once() -> None:
    out = io.StringIO()
    panel = Panel(out, PRIMARY, None, title="primary", size=lambda: (80, 24))
    panel.open()
    for _ in range(50):
        panel.count_event(BadLine("hall 1 1", "check sum does not fit", 0.0))
    assert out.getvalue().count("check sum does not fit") == 1


class Pressed:
    def __init__(self, *batches: str) -> None:
        self._batches = list(batches)
        self._rest = ""

    def pressed(self) -> list[str]:
        keys, self._rest = split_keys(self._rest + (self._batches.pop(0) if self._batches else ""), more_may_come=True)
        return keys

    def again(self) -> None: ...

    def close(self) -> None: ...


def said(*batches: str) -> tuple[list[Order], KeyLine]:
    line = KeyLine(Pressed(*batches))
    return [order for _ in batches for order in line.orders()], line


def test_one_key_is_one_order() -> None:
    orders, _ = said(" ", "\r", "lLq?")
    assert [one.act for one in orders] == [Act.NEXT, Act.NEXT, Act.LAYER, Act.LAYER, Act.LEAVE, Act.HELP]


def test_a_number_and_a_reason_are_typed_behind_a_key() -> None:
    orders, _ = said("s", "41", "9\x7f2", "\r", "counted twice\r", "b3,5\r", "nthe reel is low\r")
    assert orders == [
        Order(Act.SET, 412.0, "counted twice"),
        Order(Act.BACK, 3.5),
        Order(Act.NOTE, None, "the reel is low"),
    ]


def test_a_foot_on_the_space_bar_while_one_types_is_a_blank() -> None:
    orders, line = said("nhe", " ", "llo\r")
    assert orders == [Order(Act.NOTE, None, "he llo")]
    assert line.prompt == ""


def test_a_foot_switch_that_is_a_key_means_what_the_space_bar_means() -> None:
    line = KeyLine(Pressed("k", "qk"), foot="k")
    assert [one.act for _ in range(2) for one in line.orders()] == [Act.NEXT, Act.LEAVE, Act.NEXT]


def test_what_is_no_number_is_asked_again_and_escape_forgets_it() -> None:
    orders, line = said("sten\r")
    assert orders == []
    assert "'ten' is no number of turns" in line.problem
    assert line.prompt.startswith("turns on the coil now: ")
    assert said("s412\r\r")[1].problem.startswith("a count that is set needs a reason")
    assert said("s41\x1b", " ")[0] == [Order(Act.NEXT)]


def test_an_arrow_that_comes_in_two_halves_is_no_order() -> None:
    orders, _ = said("\x1b[", "A", "\x1b", "OA", "a")
    assert [one.act for one in orders] == [Act.ADD]
    assert split_keys("\x1b") == (["esc"], "")


def test_arrows_and_unknown_keys_do_nothing() -> None:
    orders, line = said("\x1b[A\x1bOPx")
    assert orders == []
    assert "'x' is no key here" in line.problem
