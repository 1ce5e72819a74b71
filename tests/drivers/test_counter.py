"""A counter whose program is held up, in virtual time."""

from __future__ import annotations

from drivers.counter import Counter
from drivers.counting import Bounded, Bridged, Count
from drivers.profile_files import load_counter_profile

from .clocks import VirtualClock
from .framing import hall, hello

QUIET = (b"", 0.0)
"""Nothing lies ready."""


class Line:
    """Gives what is due at each reading; the program is held up after it, before it can look at its clock."""

    port, is_open, log_problem = "virtual", True, ""

    def __init__(self, clock: VirtualClock, *readings: tuple[bytes, float]) -> None:
        self._clock = clock
        self._readings = list(readings)

    def open(self) -> None: ...

    def close(self) -> None: ...

    def send(self, data: bytes) -> None: ...

    def reopen(self, within_s: float = 0.0) -> None: ...

    def receive(self, timeout_s: float) -> bytes:
        data, held_up = self._readings.pop(0) if self._readings else QUIET
        self._clock.sleep(0.001 + held_up)
        return data


def counted(*readings: tuple[bytes, float]) -> list:
    clock = VirtualClock()
    counter = Counter(Line(clock, *readings), load_counter_profile("hall"), clock=clock)
    counter.open()
    counter.set_count(0.0, "start")
    return [event for _ in readings for event in counter.poll(0.05)]


def test_a_program_that_is_held_up_between_reading_and_clock_takes_no_board_for_a_new_one():
    # five seconds pass after the second reading; the lines of that time are read at once by the third
    late = b"".join(hall(1, number, number * 10, number) for number in range(3, 500))
    events = counted((hello(1) + hall(1, 1, 10, 1), 0.0), QUIET, (hall(1, 2, 20, 2), 5.0), (late, 0.0))
    assert not any(isinstance(event, Bounded) for event in events)
    assert isinstance(events[-1], Count)
    assert events[-1].certain


def test_what_a_board_lost_while_the_program_was_held_up_is_within_the_gap():
    # the board lost its power right after the second reading, and four of the five seconds went uncounted
    events = counted(
        (hello(1) + hall(1, 1, 10, 0), 0.0),
        QUIET,
        (hall(1, 2, 20, 1), 5.0),
        (hall(2, 1, 10, 0) + hall(2, 2, 20, 0), 0.0),
    )
    (bounded,) = [event for event in events if isinstance(event, Bounded)]
    # at 25 turns/s2 for as long: more than the 60 turns/s of the profile allow
    assert bounded.high - 0.25 >= 60.0 * 5.0


def test_what_lay_ready_before_somebody_listened_is_not_on_the_coil():
    # 790 turns while the port was closed: their first lines are still in the system's buffer, in two readings
    first = b"".join(hall(1, number, number * 10, number) for number in range(1, 200))
    second = b"".join(hall(1, number, number * 10, 4 * 790) for number in range(8000, 8020))
    now, next_turn = hall(1, 8020, 80200, 4 * 790), hall(1, 8021, 80210, 4 * 791)
    events = counted((hello(1) + first, 0.0), (second + now, 0.0), QUIET, (next_turn, 0.0), QUIET)
    counts = [event for event in events if isinstance(event, Count)]
    assert [(one.turns, one.certain) for one in counts] == [(0.0, True), (1.0, True)]
    assert not any(isinstance(event, Bridged) for event in events)


def test_half_a_line_at_first_is_waited_for_whole():
    line, next_turn = hall(1, 7, 70, 80), hall(1, 8, 80, 84)
    half = len(line) // 2
    events = counted((line[:half], 0.0), QUIET, (line[half:], 0.0), QUIET, (next_turn, 0.0))
    assert [one.turns for one in events if isinstance(one, Count)] == [0.0, 1.0]


def test_a_board_that_never_pauses_is_counted_all_the_same():
    lines = [(hall(1, number, number * 10, number), 0.001) for number in range(1, 900)]
    counts = [one for one in counted(*lines) if isinstance(one, Count)]
    assert counts[0].turns == 0.0
    assert counts[-1].certain
