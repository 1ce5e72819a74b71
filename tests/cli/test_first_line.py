"""The half line on which one begins to listen is no damage, and what follows it is."""

from __future__ import annotations

from bench.sitting.half_line import HalfLine
from drivers.counter import LinkCameBack, LinkWentAway
from drivers.counting import BadLine, Count

BAD = BadLine("52 8 5A2E", "not a line of this board", 0.0)
GOOD = Count(1.0, 1.0, 1.0, 0.0, 0.0, "raw")


def test_only_the_very_first_line_may_be_half_a_line() -> None:
    assert HalfLine().without([BAD, GOOD, BAD]) == [GOOD, BAD]
    assert HalfLine().without([GOOD, BAD]) == [GOOD, BAD]


def test_a_profile_that_fits_no_line_is_still_told() -> None:
    one = HalfLine()
    assert one.without([BAD]) == []
    assert one.without([]) == []
    assert one.without([BAD]) == [BAD]


def test_a_line_that_is_opened_anew_may_begin_with_half_a_line_too() -> None:
    gone, back = LinkWentAway("unplugged", 0.0), LinkCameBack(1.0, 0.0)
    assert HalfLine().without([GOOD, gone, back, BAD, BAD]) == [GOOD, gone, back, BAD]
