"""The counter board and its spindle, without a port."""

from __future__ import annotations

import binascii

import numpy as np
import pytest

from bench.rehearsal.counter_server import CounterBoard, framed
from bench.rehearsal.spindle import Spindle, bursts


def _lines(board: CounterBoard, now: float) -> list[list[str]]:
    lines = board.advance(now).decode().splitlines()
    return [line.split() for line in lines if not line.startswith("hall hello")]


def test_the_check_sum_is_the_published_one() -> None:
    # CRC-16/CCITT-FALSE of "123456789" is 29B1.
    assert framed("123456789") == b"123456789 29B1\n"


def test_a_line_carries_the_count_and_its_check_sum() -> None:
    spindle = Spindle()
    board = CounterBoard(spindle)
    spindle.move(0.0, 2.0, 5.0, 50.0)
    last = board.advance(2.0).splitlines()[-1]
    body, _, check = last.rpartition(b" ")
    assert body.split()[:3] == [b"hall", b"1", b"1"]
    assert body.split()[5:] == [b"16", b"8"]
    assert int(check, 16) == binascii.crc_hqx(body, 0xFFFF)


def test_line_numbers_follow_each_other_and_time_goes_on() -> None:
    spindle = Spindle()
    board = CounterBoard(spindle)
    spindle.move(0.0, 50.0, 8.0, 20.0)
    lines = _lines(board, 10.0)
    assert [int(line[3]) for line in lines] == list(range(1, len(lines) + 1))
    assert np.all(np.diff([int(line[4]) for line in lines]) >= 10)
    assert np.all(np.diff([int(line[5]) for line in lines]) >= 0)


def test_each_edge_has_a_line_while_they_come_slowly() -> None:
    spindle = Spindle()
    board = CounterBoard(spindle)
    spindle.move(0.0, 10.0, 5.0, 50.0)
    edges = {int(line[5]) for line in _lines(board, 5.0)}
    assert edges == set(range(81))


def test_a_standing_spindle_sends_a_heartbeat() -> None:
    board = CounterBoard(Spindle())
    assert len(_lines(board, 5.0)) == pytest.approx(10, abs=1)


def test_asking_often_gives_the_same_lines_as_asking_once() -> None:
    def wound(looks: list[float]) -> bytes:
        spindle = Spindle()
        board = CounterBoard(spindle)
        spindle.move(0.0, 20.0, 7.0, 10.0, 1.3)
        return b"".join(board.advance(look) for look in looks)

    assert wound([6.0]) == wound(np.linspace(0, 6.0, 700).tolist())


@pytest.mark.parametrize(("sensors", "edges"), [(2, (10 - 3) * 8), (1, (10 + 3) * 4)])
def test_only_two_sensors_see_the_direction(sensors: int, edges: int) -> None:
    spindle = Spindle()
    board = CounterBoard(spindle, sensors=sensors)
    spindle.move(0.0, 10.0, 5.0, 20.0)
    spindle.move(0.0, -3.0, 1.0, 20.0)
    assert int(_lines(board, 10.0)[-1][5]) == edges


def test_lost_lines_leave_a_hole_in_the_numbers_and_none_in_the_count() -> None:
    spindle = Spindle()
    board = CounterBoard(spindle)
    spindle.move(0.0, 5.0, 5.0, 20.0)
    before = int(_lines(board, 0.3)[-1][3])
    board.lose(3)
    lines = _lines(board, 3.0)
    assert int(lines[0][3]) == before + 4
    assert int(lines[-1][5]) == 40


def test_a_damaged_line_fails_its_check_sum() -> None:
    board = CounterBoard(Spindle())
    board.advance(0.1)
    board.damage(1)
    body, _, check = board.advance(0.7).strip().rpartition(b" ")
    assert int(check, 16) != binascii.crc_hqx(body, 0xFFFF)


def test_a_reboot_starts_a_new_count_under_a_new_number() -> None:
    spindle = Spindle()
    board = CounterBoard(spindle)
    spindle.move(0.0, 5.0, 5.0, 20.0)
    board.advance(3.0)
    board.reboot(3.0)
    spindle.move(3.0, 1.0, 5.0, 20.0)
    last = _lines(board, 6.0)[-1]
    assert last[2:4] == ["2", last[3]]
    assert int(last[5]) == 8


def test_identify_gives_the_hello_line() -> None:
    board = CounterBoard(Spindle(), sensors=1)
    board.advance(0.1)
    board.feed(b"identify\n")
    assert board.advance(0.2).startswith(b"hall hello rehearsal-1 sensors=1 magnets=2 boot=1 ")


def test_a_move_ends_where_it_should_and_never_jumps() -> None:
    spindle = Spindle()
    spindle.move(1.0, 7.0, 3.0, 2.0)
    spindle.move(1.0, -2.5, 1.0, 2.0)
    places = [spindle.position(time) for time in np.arange(0.0, 14.0, 0.01)]
    assert places[0] == 0.0
    assert max(places) == pytest.approx(7.0, abs=1e-3)
    assert places[-1] == pytest.approx(4.5)
    assert np.max(np.abs(np.diff(places))) <= 0.03 + 1e-9


@pytest.mark.parametrize("turns", [0.5, 3.0, 19.0, 662.0, 1554.0])
def test_winding_as_a_person_does_ends_on_the_turn(turns: float) -> None:
    laid = bursts(turns, 6.0, np.random.default_rng(1))
    assert sum(part for part, _, _ in laid) == pytest.approx(turns)
    assert all(part > 0 for part, _, _ in laid)
