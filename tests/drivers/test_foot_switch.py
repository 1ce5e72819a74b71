"""A foot switch: each press once, through bounce, floods and a pulled plug."""

from __future__ import annotations

import contextlib
import errno
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import serial
from hypothesis import given
from hypothesis import strategies as st

from drivers.backoff import BackOff
from drivers.errors import PortBusy, PortMissing, Unsupported
from drivers.foot_switch import FootSwitch, SwitchLine
from drivers.line_settings import LineSettings
from drivers.serial_port import SerialPort

from .clocks import VirtualClock
from .pty_peer import PtyPeer

Peers = Callable[..., PtyPeer]

# -- a contact on a modem line: pseudo-terminals have none -------------------------------------------


class StubSerial:
    """Stands for pyserial's port: the test sets its lines, and pulls it out."""

    is_there = True
    made: list[StubSerial]

    def __init__(self) -> None:
        self.cts = self.dsr = self.ri = self.cd = False
        self.is_open = False
        self.exclusive: bool | None = None
        self.dtr = self.rts = False
        StubSerial.made.append(self)

    def open(self) -> None:
        if not StubSerial.is_there:
            raise serial.SerialException(errno.ENOENT, "could not open port")
        self.is_open = True

    def close(self) -> None:
        self.is_open = False

    @property
    def in_waiting(self) -> int:
        if not StubSerial.is_there:
            raise OSError(errno.EIO, "Input/output error")
        return 0


@contextlib.contextmanager
def stubbed() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(serial, "Serial", StubSerial)
        patch.setattr(StubSerial, "is_there", True)
        patch.setattr(StubSerial, "made", [], raising=False)
        yield


@pytest.fixture
def stub() -> Iterator[None]:
    with stubbed():
        yield


class Foot:
    """A switch whose contact the test moves, looked at each 10 ms of virtual time."""

    def __init__(self, line: SwitchLine = SwitchLine.CTS, *, down: bool = False) -> None:
        self.clock = VirtualClock()
        self.switch = FootSwitch("COM7", line, clock=self.clock, backoff=BackOff(1.0, 4.0))
        self.switch.open()
        self._line = line.value
        self.move(down)
        self.wait(0.2)

    @property
    def port(self) -> StubSerial:
        return StubSerial.made[-1]

    def move(self, down: bool) -> None:
        setattr(self.port, self._line, down)

    def wait(self, seconds: float) -> int:
        presses = 0
        for _ in range(round(seconds / 0.01)):
            self.clock.sleep(0.01)
            presses += self.switch.pressed()
        return presses

    def goes(self, *ups_and_downs: tuple[bool, float]) -> int:
        presses = 0
        for down, seconds in ups_and_downs:
            self.move(down)
            presses += self.wait(seconds)
        return presses


@pytest.mark.parametrize("line", [line for line in SwitchLine if line is not SwitchLine.BYTES])
def test_each_press_on_a_modem_line_counts_once_and_only_on_its_own_line(stub: None, line: SwitchLine) -> None:
    foot = Foot(line)
    assert foot.goes((True, 0.2), (False, 0.2), (True, 2.0), (False, 0.2)) == 2
    for other in {"cts", "dsr", "ri", "cd"} - {line.value}:
        setattr(foot.port, other, True)
    assert foot.wait(0.2) == 0


def test_the_port_is_opened_exclusively_and_feeds_the_switch(stub: None) -> None:
    foot = Foot()
    assert (foot.port.exclusive, foot.port.rts, foot.port.dtr) == (True, True, True)
    foot.switch.close()
    assert not foot.port.is_open


def test_bounce_at_press_and_at_release_counts_nothing(stub: None) -> None:
    bouncing = [(True, 0.01), (False, 0.01), (True, 0.2), (False, 0.01), (True, 0.01), (False, 0.2)]
    assert Foot().goes(*bouncing) == 1


def test_a_press_after_the_dead_time_is_a_new_one(stub: None) -> None:
    assert Foot().goes((True, 0.05), (False, 0.05), (True, 0.05), (False, 0.05)) == 2


def test_a_switch_that_is_down_when_the_port_opens_counts_from_its_release(stub: None) -> None:
    foot = Foot(down=True)
    assert foot.wait(1.0) == 0
    assert foot.goes((False, 0.2), (True, 0.2)) == 1


def test_a_switch_that_is_down_and_gets_its_feed_a_little_after_opening_counts_from_its_release(stub: None) -> None:
    clock = VirtualClock()
    switch = FootSwitch("COM7", clock=clock)
    switch.open()
    clock.sleep(0.02)
    presses = [switch.pressed()]
    StubSerial.made[-1].cts = True
    for _ in range(20):
        clock.sleep(0.02)
        presses.append(switch.pressed())
    assert presses == [0] * 21


def test_a_switch_that_is_down_and_first_looked_at_late_counts_from_its_release(stub: None) -> None:
    clock = VirtualClock()
    switch = FootSwitch("COM7", clock=clock)
    switch.open()
    StubSerial.made[-1].cts = True
    clock.sleep(5.0)
    assert [switch.pressed(), switch.pressed()] == [0, 0]


def test_an_adapter_that_is_pulled_out_is_a_state_and_is_found_again_with_pauses(stub: None) -> None:
    foot = Foot()
    StubSerial.is_there = False
    tries = len(StubSerial.made)
    assert foot.wait(10.0) == 0
    assert foot.switch.lost == "COM7: no such port; is it plugged in? `turnproof ports` lists what is there"
    assert 3 <= len(StubSerial.made) - tries <= 5  # after 1, 2, 4, 4 s: not at each look
    StubSerial.is_there = True
    foot.wait(5.0)
    assert foot.switch.lost is None
    assert foot.goes((True, 0.2), (False, 0.2)) == 1


def test_the_reason_is_told_as_soon_as_the_adapter_is_gone(stub: None) -> None:
    foot = Foot()
    StubSerial.is_there = False
    assert foot.switch.pressed() == 0
    assert foot.switch.lost == "COM7: the foot switch went away (Input/output error); is it plugged in?"


def test_a_switch_that_was_closed_is_neither_lost_nor_looked_for(stub: None) -> None:
    foot = Foot()
    foot.switch.close()
    made = len(StubSerial.made)
    assert foot.wait(5.0) == 0
    assert foot.switch.lost is None
    assert len(StubSerial.made) == made


@given(st.lists(st.tuples(st.integers(10, 30), st.lists(st.integers(0, 1), max_size=2)), min_size=1, max_size=12))
def test_whatever_bounces_the_presses_are_those_of_the_foot(strokes: list[tuple[int, list[int]]]) -> None:
    """Each stroke is a press or a release that bounces for up to 20 ms and then rests for 100 to 300 ms."""
    with stubbed():
        foot = Foot()
        presses, down = 0, False
        for rests, bounces in strokes:
            down = not down
            for level in bounces:
                presses += foot.goes((bool(level), 0.01))
            presses += foot.goes((down, rests / 100))
    assert presses == (len(strokes) + 1) // 2


# -- bytes, over a pseudo-terminal -------------------------------------------------------------------


@pytest.fixture
def clock() -> VirtualClock:
    return VirtualClock()


def sent(peer: PtyPeer, data: bytes, switch: FootSwitch) -> int:
    """Presses seen when `data` has arrived and been looked at."""
    peer.say(data)
    assert peer.wait_unread()
    return switch.pressed()


def rest(switch: FootSwitch, clock: VirtualClock, seconds: float = 0.05) -> None:
    clock.sleep(seconds)
    assert switch.pressed() == 0


def test_each_byte_or_line_that_is_sent_is_a_press(peers: Peers, clock: VirtualClock) -> None:
    peer = peers()
    with FootSwitch(peer.device, SwitchLine.BYTES, clock=clock) as switch:
        rest(switch, clock, 2.0)
        presses = []
        for data in (b"p", b"\x00", b"pressed\r\n"):
            presses.append(sent(peer, data, switch))
            rest(switch, clock)
    assert presses == [1, 1, 1]


def test_a_flood_of_bytes_is_one_press_however_the_looks_cut_it(peers: Peers, clock: VirtualClock) -> None:
    peer = peers()
    with FootSwitch(peer.device, SwitchLine.BYTES, clock=clock) as switch:
        rest(switch, clock, 2.0)
        presses = []
        for _ in range(20):
            presses.append(sent(peer, b"!" * 100, switch))
            clock.sleep(0.01)
        assert presses == [1] + [0] * 19
        rest(switch, clock)
        assert sent(peer, b"!", switch) == 1


def test_a_line_that_two_looks_cut_in_half_is_one_press(peers: Peers, clock: VirtualClock) -> None:
    peer = peers()
    with FootSwitch(peer.device, SwitchLine.BYTES, clock=clock) as switch:
        rest(switch, clock, 2.0)
        first = sent(peer, b"pre", switch)
        clock.sleep(0.05)  # longer than the dead time, but nobody saw a silence
        assert (first, sent(peer, b"ssed\n", switch)) == (1, 0)


def test_the_greeting_of_a_board_that_starts_anew_is_no_press(peers: Peers, clock: VirtualClock) -> None:
    peer = peers()
    with FootSwitch(peer.device, SwitchLine.BYTES, clock=clock) as switch:
        rest(switch, clock, 1.5)
        assert sent(peer, b"foot switch 1.0\r\n", switch) == 0
        rest(switch, clock, 0.6)
        assert sent(peer, b"p", switch) == 1


def test_unplugged_is_a_state_and_plugged_in_again_it_works(peers: Peers, clock: VirtualClock) -> None:
    first = peers()
    switch = FootSwitch(first.device, SwitchLine.BYTES, clock=clock)
    switch.open()
    rest(switch, clock, 2.0)
    first.kill()
    assert switch.pressed() == 0
    assert switch.lost is not None
    assert switch.lost.startswith(f"{first.device}: the foot switch went away")

    second = peers()
    rest(switch, clock)
    assert switch.lost is None
    rest(switch, clock, 2.0)
    assert sent(second, b"p", switch) == 1
    switch.close()


# -- ports that can't be used ------------------------------------------------------------------------


def test_a_missing_port_is_told_at_open(tmp_path: Path) -> None:
    with pytest.raises(PortMissing, match="ttyUSB9: no such port"):
        FootSwitch(str(tmp_path / "ttyUSB9")).open()


def test_a_port_that_is_held_is_told_at_open(peers: Peers) -> None:
    peer = peers()
    held = SerialPort(peer.device, LineSettings())
    with pytest.raises(PortBusy, match="this program itself"):
        FootSwitch(peer.device, SwitchLine.BYTES).open()
    held.close()


def test_a_port_without_modem_lines_is_told_at_open_and_given_back(peers: Peers) -> None:
    peer = peers()
    with pytest.raises(Unsupported, match="the CTS line can't be read here; take an adapter with modem lines"):
        FootSwitch(peer.device).open()
    with FootSwitch(peer.device, SwitchLine.BYTES) as switch:
        assert switch.lost is None
