"""The board's own program, under the interpreter that a board has, on switches whose truth is known."""

from __future__ import annotations

import shutil
import struct
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from drivers.countline import Answer, HallDecoder, HallLine, Hello

from .trains import pack, train

FIRMWARE = Path(__file__).resolve().parents[3] / "drivers" / "firmware"
HARNESS = Path(__file__).with_name("harness.py")
MICROPYTHON = shutil.which("micropython", path=str(Path(sys.executable).parent)) or shutil.which("micropython")

pytestmark = pytest.mark.skipif(
    MICROPYTHON is None, reason="no MicroPython for this Python and system: the board's program was NOT run"
)


@dataclass
class Ran:
    """What the board sent, and where it stood at the end."""

    sent: bytes
    count: int
    doubt: int
    drops_us: list[int]

    @property
    def decoded(self) -> list:
        return HallDecoder().feed(self.sent)

    @property
    def lines(self) -> list[HallLine]:
        return [each for each in self.decoded if isinstance(each, HallLine)]

    @property
    def answers(self) -> list[str]:
        return [each.words for each in self.decoded if isinstance(each, Answer)]


def play(tmp_path: Path, records: bytes, *options: str, interpreter: str | None = MICROPYTHON) -> Ran:
    file = tmp_path / "records"
    file.write_bytes(records)
    command = [str(interpreter), str(HARNESS), str(FIRMWARE), str(file), *options]
    ran = subprocess.run(command, capture_output=True, check=False, timeout=120)
    assert ran.returncode == 0, ran.stderr.decode()
    sent, _, last = ran.stdout.rpartition(b"done ")
    count, doubt, drops = last.decode().rstrip("\n").split(" ")
    return Ran(sent, int(count), int(doubt), [int(each) for each in drops.split(",") if each])


def by_hand(text: str, at_us: int) -> list[tuple[int, int, int]]:
    return [(at_us, 2, byte) for byte in text.encode()] + [(at_us, 1, 0)]


TO_AND_FRO = [(8.0, 2.0), (-6.0, 1.5), (3.0, 1.0), (0.0, 0.5), (-1.0, 1.0), (20.0, 1.0)]


@pytest.mark.parametrize(
    ("magnets", "duty", "shift"), [(1, 0.5, 0.25), (2, 0.4, 0.2), (3, 0.3, 0.15), (4, 0.5, 0.25), (4, 0.4, 0.2)]
)
def test_two_switches_count_every_edge_with_its_direction(tmp_path, magnets, duty, shift):
    spun = train(TO_AND_FRO, magnets=magnets, duty=duty, shift=shift, chatter_us=150, seed=magnets)
    ran = play(tmp_path, spun.records, f"MAGNETS={magnets}")
    assert (ran.count, ran.doubt) == (spun.edges, 0)
    assert ran.lines[-1].edges == spun.edges
    assert ran.lines[-1].per == 4 * magnets


def test_rocking_to_and_fro_over_an_edge_does_not_drift(tmp_path):
    spun = train([(2.0, 0.5)] + [(1.0, 0.2), (-1.0, 0.2)] * 60 + [(0.0, 0.2)], chatter_us=150, seed=5)
    ran = play(tmp_path, spun.records)
    assert spun.turned > 120
    assert (ran.count, ran.doubt) == (spun.edges, 0)


def test_three_thousand_turns_a_minute_with_four_magnets_lose_nothing(tmp_path):
    spun = train([(50.0, 3.0)], magnets=4, chatter_us=100, seed=2, acceleration=100.0)
    ran = play(tmp_path, spun.records, "MAGNETS=4")
    assert spun.edges > 1800
    assert (ran.count, ran.doubt) == (spun.edges, 0)


def test_one_switch_counts_upwards_either_way(tmp_path):
    spun = train(TO_AND_FRO, sensors=1, chatter_us=150, seed=3)
    ran = play(tmp_path, spun.records, "SENSORS=1")
    assert ran.count == spun.turned > abs(spun.edges)


def test_a_main_loop_that_is_held_up_loses_nothing(tmp_path):
    spun = train(TO_AND_FRO, chatter_us=150, seed=4, loop_us=40_000)
    ran = play(tmp_path, spun.records)
    assert ran.count - ran.doubt <= spun.edges <= ran.count + ran.doubt
    assert ran.doubt <= 8


def test_two_changes_at_once_are_no_silent_guess(tmp_path):
    # forward as far as 10, then both levels change before the program can look
    records = [(0, 0, 0), (2000, 0, 1), (4000, 1, 0), (6000, 0, 2), (9000, 1, 0), (600_000, 1, 0)]
    ran = play(tmp_path, pack(records))
    assert ran.doubt == 4
    assert ran.lines[-1].doubt == 4


def test_a_long_rest_is_no_dead_time(tmp_path):
    # the microseconds wrap at 2^30: after 600 s of rest the time since the last edge looks negative
    rest = [(1000 * (2 + k), 1, 0) for k in range(3)] + [(600_000_000 + 1000 * k, 1, 0) for k in range(3)]
    ran = play(tmp_path, pack([(0, 0, 0), (1000, 0, 1), *rest, (600_010_000, 0, 3), (600_020_000, 1, 0)]))
    assert ran.count == 2


@pytest.mark.parametrize("start", [2**29 - 3, -(2**29) + 3])
def test_numbers_wrap_where_a_board_would_run_out_of_small_integers(tmp_path, start):
    moves = [(4.0, 1.0)] if start > 0 else [(-4.0, 1.0)]
    spun = train(moves, seed=6)
    high = (1 << 30) - 20
    ran = play(tmp_path, spun.records, f"count={start}", f"line={high}", f"us0={high}", f"ms0={high}")
    assert ran.count == (start + spun.edges + 2**29) % 2**30 - 2**29
    assert abs(ran.count) <= 2**29
    numbers = [line.line for line in ran.lines]
    assert numbers[0] == high + 1
    assert numbers[-1] < 200
    assert [line.ms for line in ran.lines] == sorted(line.ms for line in ran.lines)


def test_a_line_goes_out_each_tick_while_it_turns_and_each_heartbeat_while_it_stands(tmp_path):
    ran = play(tmp_path, train([(10.0, 1.0)], seed=1).records)
    gaps = [after.ms - before.ms for before, after in zip(ran.lines, ran.lines[1:], strict=False)]
    # 80 edges/s at full speed: a line for each, no more than one each 10 ms
    assert min(gaps[10:60]) >= 10
    assert max(gaps[10:60]) <= 20
    assert 490 <= gaps[-1] <= 510


def test_a_host_that_takes_no_lines_holds_nothing_up(tmp_path):
    spun = train([(10.0, 2.0)], seed=1)
    ran = play(tmp_path, spun.records[:6] + pack([(1, 4, 0)]) + spun.records[6:])
    assert ran.lines == []
    assert ran.count == spun.edges


def test_it_says_who_it_is_and_obeys_by_hand(tmp_path):
    said = "identify\n! where\n! set 40\n! where\n! zero\n! target 200 16\n! leap 3\n! set x\n! free\n"
    ran = play(tmp_path, pack([(0, 0, 0), *by_hand(said, 5000), (15_000, 1, 0), (30_000, 1, 0)]))
    greetings = [each for each in ran.decoded if isinstance(each, Hello)]
    assert [(each.firmware, each.sensors, each.magnets, each.boot, each.board) for each in greetings] == [
        ("turnproof-1", 2, 2, 7, "T1")
    ] * 2
    assert ran.answers == [
        "where boot=7 at=0 target=none run=0",
        "set boot=7 at=40 target=none run=0",
        "where boot=7 at=40 target=none run=0",
        "zero boot=7 at=0 target=none run=0",
        "target boot=7 at=0 target=200 run=0",
        "leap: expected identify, zero, set, target, aim, free, stop or where",
        "set: whole numbers of edges expected",
        "free boot=7 at=0 target=none run=0",
    ]


def test_setting_the_position_leaves_the_count_in_the_lines_alone(tmp_path):
    spun = train([(5.0, 1.0)], seed=1)
    ran = play(tmp_path, spun.records[:6] + pack(by_hand("! set 9000\n", 0)) + spun.records[6:])
    assert ran.lines[-1].edges == spun.edges


def test_a_command_whose_check_sum_does_not_fit_is_not_obeyed(tmp_path):
    ran = play(tmp_path, pack([(0, 0, 0), *by_hand("stop 0000\naim 100 40 1234\n\x00\xff\n", 5000), (15_000, 1, 0)]))
    assert ran.answers == []


def armed(at_us: int) -> list[tuple[int, int, int]]:
    """The button is open for 60 ms, pressed for 30, and let go again; from `at_us` to 91 ms later."""
    press, release = at_us + 60_000, at_us + 90_000
    return [(at_us, 1, 0), (press - 1, 1, 0), (press, 3, 1), (press, 1, 0), (release - 1, 1, 0), (release, 3, 0),
            (release, 1, 0)]  # fmt: skip


def mixed(records: bytes, extra: list[tuple[int, int, int]]) -> bytes:
    """Both, in the order of their times; the first record of the train stays the first."""
    first, *rest = struct.iter_unpack("<IBB", records)
    return pack([first, *sorted([*rest, *extra], key=lambda each: each[0])])


def test_the_winder_stops_at_the_target_with_no_host_there(tmp_path):
    spun = train([(10.0, 3.0)], seed=1)  # 8 edges a turn, 10 turns/s, a fifth of a second to get there
    ran = play(tmp_path, mixed(spun.records, [*armed(10), *by_hand("! target 80 16\n", 20), (30, 4, 0)]))
    (dropped,) = ran.drops_us
    # 80 edges are 10 turns: 1 turn within the 0.2 s of speeding up, 9 more at 10 turns/s; one edge is 12.5 ms
    assert dropped == pytest.approx(1.1e6, abs=15_000)


def test_nothing_but_the_button_lets_the_winder_run(tmp_path):
    words = "! run\n! arm\n! target 0\n! set 0\n! free\nidentify\n"
    ran = play(tmp_path, pack([(0, 0, 0), *by_hand(words, 5000), (15_000, 1, 0), *by_hand("! where\n", 20_000)]))
    assert ran.drops_us == []
    assert ran.answers[-1].endswith("run=0")


def test_after_a_stop_only_the_button_lets_it_run_again(tmp_path):
    records = [(0, 0, 0), (10, 1, 0), *armed(20), *by_hand("! where\n! stop\n! where\n", 105_000)]
    records += [*by_hand("! target 400\n! where\n", 106_000), *armed(107_000), *by_hand("! where\n", 208_000)]
    ran = play(tmp_path, pack(records))
    assert [each[-5:] for each in ran.answers] == ["run=1", "run=0", "run=0", "run=0", "run=0", "run=1"]
    assert len(ran.drops_us) == 1


def test_a_button_that_is_held_down_from_the_start_lets_nothing_run(tmp_path):
    ran = play(tmp_path, pack([(0, 0, 0), (1, 3, 1), (5000, 1, 0), *by_hand("! where\n", 6000), (20_000, 1, 0)]))
    assert ran.answers[-1].endswith("run=0")


def test_a_count_in_doubt_lets_the_winder_stop(tmp_path):
    doubt = [(202_000, 0, 1), (204_000, 1, 0), (206_000, 0, 2), (209_000, 1, 0)]
    ran = play(tmp_path, pack([(0, 0, 0), (5, 1, 0), *armed(10), *doubt]))
    assert ran.drops_us == [209_000]


def test_a_button_that_bounces_as_it_is_let_go_starts_nothing(tmp_path):
    # stopped by the host with the finger still on the button, then let go with a bounce of some milliseconds
    bounce = [(220_000 + 1000 * k, 3, k % 2) for k in range(6)] + [(220_000 + 500 * k, 1, 0) for k in range(400)]
    held = [(0, 0, 0), (10, 1, 0), (60_000, 1, 0), (60_001, 3, 1), (60_002, 1, 0), (90_000, 1, 0)]
    ran = play(
        tmp_path, pack([*held, *by_hand("! where\n! stop\n", 200_000), *sorted(bounce), *by_hand("! where\n", 500_000)])
    )
    assert [each[-5:] for each in ran.answers] == ["run=1", "run=0", "run=0"]


def test_a_spike_on_the_buttons_wire_starts_nothing(tmp_path):
    spikes = []
    for at_us in range(0, 2_000_000, 100_000):
        spikes += [(at_us, 3, 1), (at_us, 1, 0), (at_us + 1000, 3, 0), (at_us + 1000, 1, 0)]
    ran = play(tmp_path, pack([(0, 0, 0), *spikes, *by_hand("! where\n", 2_100_000)]))
    assert ran.answers[-1].endswith("run=0")


def test_a_target_that_is_told_too_late_stops_the_winder_at_once(tmp_path):
    spun = train([(10.0, 3.0)], seed=1)
    ran = play(tmp_path, mixed(spun.records, [*armed(10), *by_hand("! target 40\n", 1_500_000)]))
    assert ran.drops_us == [1_500_000]


def test_chatter_that_went_back_does_not_order_what_comes_later(tmp_path):
    # the first switch chatters within its dead time and is back; later both change between two looks
    chatter = [(1000, 0, 1), (1100, 0, 0), (1150, 0, 1)]
    both = [(9000, 0, 2), (9100, 1, 0)]
    ran = play(tmp_path, pack([(0, 0, 0), *chatter, (1160, 1, 0), *both]))
    assert ran.doubt == 4


def test_an_ordinary_python_runs_it_to_the_same_lines(tmp_path):
    spun = train(TO_AND_FRO, chatter_us=150, seed=9)
    board, here = (play(tmp_path, spun.records, interpreter=each) for each in (MICROPYTHON, sys.executable))
    assert board == here
