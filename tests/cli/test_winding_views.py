"""A winding on a terminal: one line that stays one line, and happenings in words."""

from __future__ import annotations

import io

import pytest

from bench.cli.winding_views import TerminalView
from bench.job.winding import Role, Winding
from bench.winding.progress import Progress, progress_of
from drivers.counter import LinkCameBack, LinkWentAway
from drivers.counting import BadLine, Bounded, Bridged, Broken, Count

WINDING = Winding(name="ht", role=Role.SECONDARY, turns=100, layers=(40, 40, 20))
BAD = BadLine("hall 1 1 262 51720 152 8 5A2E", "the profile's pattern does not fit", 0.0)


def _progress(turns: float) -> Progress:
    return progress_of(WINDING, 100, Count(turns, turns, turns, 2.0, 0.0))


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_spindle_at_rest_shows_no_speed_whether_its_board_talks_on_or_not() -> None:
    out, clock = io.StringIO(), Clock()
    view = TerminalView(out, live=True, columns=lambda: 200, clock=clock)
    view.progressed(_progress(12.5))
    clock.now = 1.9
    view.progressed(_progress(12.5))
    view.looked()
    assert out.getvalue().count("120 rpm") == 2
    clock.now = 2.1
    view.progressed(_progress(12.5))
    assert out.getvalue().endswith("    0 rpm  winding  end of layer 1 in 27.5 turns")
    view.progressed(_progress(13.0))
    clock.now = 4.2
    view.looked()
    view.looked()
    assert out.getvalue().count("    0 rpm") == 2


@pytest.mark.parametrize("columns", [20, 60, 80])
def test_a_narrow_terminal_is_written_over_and_never_filled(columns: int) -> None:
    out = io.StringIO()
    view = TerminalView(out, live=True, columns=lambda: columns)
    view.progressed(_progress(12.5))
    line = out.getvalue().removeprefix("\r\x1b[K")
    assert line.startswith("ht      12.5 of 100"[: columns - 1])
    assert len(line) < columns
    assert "\n" not in line


def test_without_a_terminal_a_line_a_layer_is_enough() -> None:
    out = io.StringIO()
    view = TerminalView(out, live=False)
    for turns in (1.0, 2.0, 39.0, 41.0, 42.0, 81.0):
        view.progressed(_progress(turns))
    assert [line.split("layer ")[1][:3] for line in out.getvalue().splitlines()] == ["1/3", "2/3", "3/3"]


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (LinkWentAway("/dev/ttyACM0: errno 5", 0.0), "went away: plug its cable in again"),
        (LinkCameBack(1.52, 0.0), "is back after 1.5 s"),
        (Bridged(2, "", 0.0), "2 lines lost on the way; the board kept the count, no turn lost"),
        (Bounded(97.0, 99.0, "a restart", 0.0), "Count between 97.0 and 99.0: a restart"),
        (Broken("another board answers", 0.0), "Count lost: another board answers"),
        (BAD, "the profile's pattern does not fit: 'hall 1 1 262 51720 152 8 5A2E'"),
    ],
)
def test_what_happens_is_told_in_words(event: object, words: str) -> None:
    out = io.StringIO()
    TerminalView(out, live=False).count_event(event)
    assert out.getvalue().endswith(f"{words}\n")


def test_a_wrong_profile_does_not_flood_the_screen() -> None:
    out = io.StringIO()
    view = TerminalView(out, live=False)
    for _ in range(50):
        view.count_event(BAD)
    view.progressed(_progress(1.0))
    view.count_event(BAD)
    assert out.getvalue().count("pattern does not fit") == 2
