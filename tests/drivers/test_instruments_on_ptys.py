"""Meter and counter over real pseudo-terminals through pyserial, killed in the middle and given back."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from drivers.counter import (
    BadLine,
    Bounded,
    Bridged,
    Broken,
    Count,
    Counter,
    CounterEvent,
    LinkCameBack,
    LinkWentAway,
)
from drivers.errors import PortMissing
from drivers.link import LineSettings, Link
from drivers.meter import Meter
from drivers.profile_files import load_counter_profile, load_meter_profile
from drivers.reading import Quantity

from .fake_meter import FakeMeter
from .framing import framed, hall, hello
from .pty_peer import PtyPeer

Peers = Callable[..., PtyPeer]


def poll_until(counter: Counter, kind: type, at_least: int = 1) -> list[CounterEvent]:
    """Events until `at_least` of `kind` have come, or five seconds have passed."""
    give_up = time.monotonic() + 5.0
    events: list[CounterEvent] = []
    while sum(isinstance(each, kind) for each in events) < at_least and time.monotonic() < give_up:
        events += counter.poll(0.05)
    return events


def board(line: bytes) -> bytes:
    return hello(1) if line == b"identify" else b""


def answers(fake: FakeMeter) -> Callable[[bytes], bytes]:
    return lambda line: b"".join(data for _, data in fake.hear(line.decode("ascii")))


@pytest.fixture
def counting(peers: Peers):
    """A counter on a board that has said who it is and stands at 10 turns in line 1."""
    peer = peers(hear=board)
    with Counter(Link(peer.device), load_counter_profile("hall")) as counter:
        assert peer.wait_heard(b"identify")
        peer.say(hall(1, 1, 20, 40))
        poll_until(counter, Count)
        assert counter.identity is not None
        yield peer, counter


def test_a_counter_gives_each_line_as_a_count(counting):
    peer, counter = counting
    peer.say(hall(1, 2, 40, 42) + hall(1, 3, 60, 44))
    events = poll_until(counter, Count, 2)
    assert [(each.turns, each.certain) for each in events] == [(10.5, True), (11.0, True)]


def test_killing_the_port_in_the_middle_of_the_count_loses_no_turn(counting, peers: Peers):
    peer, counter = counting
    peer.kill()
    (away,) = poll_until(counter, LinkWentAway)
    assert "went away" in away.why
    assert counter.poll(0.0) == []
    second = peers(hear=board)
    poll_until(counter, LinkCameBack)
    second.say(hall(1, 90, 1800, 91))
    events = poll_until(counter, Count)
    assert [type(each) for each in events] == [Bridged, Count]
    assert (events[1].turns, events[1].low, events[1].high) == (22.75, 22.75, 22.75)


def test_half_a_line_before_and_half_after_the_loss_are_no_count(counting, peers: Peers):
    peer, counter = counting
    peer.say(hall(1, 2, 40, 44)[:12])
    counter.poll(0.2)
    peer.kill()
    poll_until(counter, LinkWentAway)
    second = peers(hear=board)
    poll_until(counter, LinkCameBack)
    second.say(hall(1, 3, 60, 48)[12:] + hall(1, 4, 80, 52))
    events = poll_until(counter, Count)
    assert [type(each) for each in events] == [BadLine, Bridged, Count]
    assert counter.count.turns == 13.0


def test_a_board_that_was_without_power_meanwhile_is_not_believed_blindly(counting, peers: Peers):
    peer, counter = counting
    peer.kill()
    poll_until(counter, LinkWentAway)
    second = peers(hear=board)
    poll_until(counter, LinkCameBack)
    second.say(hall(2, 1, 20, 0) + hall(2, 2, 40, 0))
    events = poll_until(counter, Count, 2)
    assert isinstance(events[0], Bounded)
    assert events[0].low < 10.0 < events[0].high


def test_a_program_that_was_killed_goes_on_from_its_snapshot(counting, peers: Peers):
    peer, counter = counting
    counter.set_count(100.0, "the coil had these already")
    saved = counter.snapshot()
    counter.close()
    with Counter(Link(peer.device), load_counter_profile("hall")) as later:
        later.restore(saved)
        peer.say(hall(1, 500, 10000, 80))
        events = poll_until(later, Count)
    assert (events[-1].turns, events[-1].certain) == (110.0, True)


def test_the_board_is_asked_who_it_is_again_when_it_did_not_say(peers: Peers, monkeypatch):
    monkeypatch.setattr("drivers.counter._ASK_EVERY_S", 0.05)
    peer = peers()
    with Counter(Link(peer.device), load_counter_profile("hall")) as counter:
        for _ in range(6):
            counter.poll(0.05)
    assert peer.wait_heard(b"identify")
    assert peer.heard.count(b"identify") >= 3


def test_only_the_first_opening_of_a_counter_raises(tmp_path):
    with pytest.raises(PortMissing):
        Counter(Link(str(tmp_path / "none")), load_counter_profile("hall")).open()


def test_a_plain_board_is_counted_too(peers: Peers):
    peer = peers()
    with Counter(Link(peer.device), load_counter_profile("plain")) as counter:
        peer.say(b"7\n8\n8\n8\n8\n")
        events = poll_until(counter, Count, 4)
    assert [each.turns for each in events] == [8.0] * 4
    assert [each.certain for each in events[2:]] == [True, True]
    assert not any(isinstance(each, Broken) for each in events)


def test_a_meter_is_opened_selected_read_and_left(peers: Peers):
    fake = FakeMeter()
    profile = load_meter_profile("scpi")
    peer = peers(hear=answers(fake))
    with Meter(Link(peer.device, profile.line), profile, f"scpi@{peer.device}") as meter:
        meter.select(Quantity.VOLTAGE_AC, 6.0)
        reading = meter.read()
    assert (reading.value, reading.span) == (6.3, 10.0)
    assert peer.wait_heard(b"SYST:LOC")


def test_a_meter_whose_port_comes_back_reads_on(peers: Peers):
    fake = FakeMeter()
    profile = load_meter_profile("scpi")
    first = peers(hear=answers(fake))
    with Meter(Link(first.device, LineSettings()), profile, "scpi@pty") as meter:
        meter.select(Quantity.VOLTAGE_AC, 6.0)
        first.kill()
        fake.power_on()
        peers(hear=answers(fake))
        reading = meter.read()
    assert (reading.value, reading.span, fake.function) == (6.3, 10.0, "VOLT:AC")


def test_a_counter_that_comes_back_under_another_name_counts_on(peers: Peers):
    first = peers(hear=board)
    names: list[str] = []
    with Counter(Link(first.device, elsewhere=lambda: names), load_counter_profile("hall")) as counter:
        first.say(hall(1, 1, 20, 40))
        poll_until(counter, Count)
        first.kill()
        Path(first.device).unlink()
        poll_until(counter, LinkWentAway)
        second = peers("elsewhere", hear=board)
        names.append(second.device)
        (back,) = poll_until(counter, LinkCameBack)
        assert back.port == second.device
        with pytest.raises(ValueError, match="line is away"):
            counter.set_count(20.0, "counted")
        second.say(hall(1, 7, 140, 44))
        events = poll_until(counter, Count)
        assert [type(each) for each in events] == [Bridged, Count]
        assert (events[-1].turns, events[-1].certain) == (11.0, True)
        second.kill()
        Path(second.device).unlink()
        poll_until(counter, LinkWentAway)
        peers(hear=board)  # under its first name again
        assert poll_until(counter, LinkCameBack)[0].port == first.device


def obeying(heard: list[str]) -> Callable[[bytes], bytes]:
    """A board that takes an aim, as the board's program does."""

    def hear(line: bytes) -> bytes:
        words, _, _ = line.decode("ascii").rpartition(" ")
        if line == b"identify":
            return hello(1)
        assert framed(words) == line + b"\n"
        heard.append(words)
        return framed(f"hall ok aim boot={len(heard)} at=40 target={words.split()[1]} run=0")

    return hear


def until(counter: Counter, done: Callable[[], bool]) -> None:
    give_up = time.monotonic() + 5.0
    while not done() and time.monotonic() < give_up:
        counter.poll(0.02)
    assert done()


def test_a_board_is_told_the_target_and_told_again_after_it_lost_its_power(peers: Peers):
    heard: list[str] = []
    peer = peers(hear=obeying(heard))
    with Counter(Link(peer.device), load_counter_profile("hall")) as counter:
        counter.aim(100.0, 10.0)
        peer.say(hall(1, 1, 20, 40))
        until(counter, lambda: counter.board_knows_aim)
        # 4 edges a turn; the board stands at 40 edges and so does the coil, at 10 turns
        assert heard == ["aim 400 40"]
        peer.say(hall(2, 1, 20, 0) + hall(2, 2, 40, 0))
        until(counter, lambda: len(heard) == 2 and counter.board_knows_aim)
        assert heard[1] == "aim 360 40"


def test_a_board_is_told_again_after_the_count_was_set(peers: Peers):
    heard: list[str] = []
    peer = peers(hear=obeying(heard))
    with Counter(Link(peer.device), load_counter_profile("hall")) as counter:
        counter.aim(100.0, 10.0)
        peer.say(hall(1, 1, 20, 40))
        until(counter, lambda: counter.board_knows_aim)
        counter.set_count(20.0, "counted")
        until(counter, lambda: len(heard) == 2)
    assert heard[1] == "aim 360 40"


def test_a_board_that_does_not_obey_is_left_alone(peers: Peers, monkeypatch):
    monkeypatch.setattr("drivers.board_aim._AGAIN_S", 0.02)
    peer = peers(hear=board)
    with Counter(Link(peer.device), load_counter_profile("hall")) as counter:
        counter.aim(100.0, 10.0)
        peer.say(hall(1, 1, 20, 40))
        for _ in range(12):
            counter.poll(0.02)
        assert not counter.board_knows_aim
    assert sum(line.startswith(b"aim") for line in peer.heard) == 3
