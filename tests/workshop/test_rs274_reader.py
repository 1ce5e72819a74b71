"""The reader that the winding programs are tested with: it knows little, and refuses the rest."""

from __future__ import annotations

import pytest

from tests.workshop.rs274_reader import Dwelt, Moved, Refused, Waited, replay


def moves(text: str) -> list[Moved]:
    return [one for one in replay(text).done if isinstance(one, Moved)]


def test_modes_last_until_another_of_their_group() -> None:
    first, second, third = moves("G21 G90 G94\nG1 X10 F100\nX20\nG91 X5\nM2\n")
    assert [one.after["X"] for one in (first, second, third)] == [10, 20, 25]
    assert first.minutes == pytest.approx(0.1)
    assert third.minutes == pytest.approx(0.05)


def test_inches_are_of_the_straight_axes_only() -> None:
    (move,) = moves("G20 G0 X1 A90\nM2\n")
    assert (move.after["X"], move.after["A"]) == (25.4, 90)
    assert move.minutes is None


def test_a_feed_in_units_is_of_the_straight_way_where_there_is_one() -> None:
    both, alone = moves("G94 G1 X10 A3600 F20\nA7200\nM2\n")
    assert both.minutes == pytest.approx(0.5)
    assert alone.minutes == pytest.approx(180)


def test_inverse_time_is_of_the_whole_move() -> None:
    (move,) = moves("G93 G1 X10 A3600 F4\nM2\n")
    assert move.minutes == pytest.approx(0.25)


def test_messages_go_with_the_next_wait_and_comments_do_nothing() -> None:
    machine = replay("(hello)\nN10 (MSG, lay paper)\nN20M0\ng4 p1.5 (rest)\nM2\n")
    assert machine.done == [Waited(("lay paper",)), Dwelt(1.5)]
    assert machine.comments == ["hello", "rest"]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("G2 X1 Y1 I1", "unknown word"),
        ("M3 S100", "unknown word"),
        ("G92 X0", "unknown word G92"),
        ("G0 X1 U2", "unknown word U"),
        ("G0 G1 X1", "two words of the group motion"),
        ("G0 X1 X2", "a word twice"),
        ("G0 (one (two)", "comment"),
        ("G0 X1)", "comment"),
        ("G0 X1E3", "unknown word E"),
        ("G0 X", "no word"),
        ("X1", "before G0"),
        ("G1 X1", "without a feed"),
        ("G93 F2\nG1 X1", "without a feed on the line"),
        ("G94 F2\nG93\nG1 X1", "without a feed"),
        ("G94 G1 X1 F0", "feed of nothing"),
        ("G4", "G4 without P"),
        ("G1 F1", "without an axis"),
        ("G0 X1 N10", "not first"),
        ("N100000 G0 X1", "line number"),
        ("(" + 300 * "x" + ")", "characters"),
        ("(Ω)", "ASCII"),
    ],
)
def test_what_it_does_not_know_is_refused(line: str, told: str) -> None:
    with pytest.raises(Refused, match=told):
        replay(f"{line}\nM2\n")


def test_a_program_has_an_end_and_nothing_after_it() -> None:
    with pytest.raises(Refused, match="does not end"):
        replay("G0 X1\n")
    with pytest.raises(Refused, match="after the end"):
        replay("M2\nG0 X1\n")
