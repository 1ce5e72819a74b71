"""Too much, nothing any more, somebody else, and errors without an end: cases 26 to 30."""

from __future__ import annotations

import subprocess
import sys
import time
from contextlib import suppress
from dataclasses import replace

import pytest

from drivers.errors import LinkLost, MeterError, NoAnswer, OutOfStep, PortBusy, Unreadable
from drivers.line_settings import Flow
from drivers.meter_state import MeterState

from .meters import Chunks, UniqueMeter, instead
from .peer import SocketMeter
from .scripted_bench import TIMING, Bench


def test_an_answer_without_an_end_is_cut_off_at_the_line_limit(bench: Bench):
    """case 26."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(instead((0.0, b"7" * 3000)))
    said = bench.fails(meter, Unreadable, "over 350 bytes without an end")
    assert len(said) < 400
    bench.reads_its_own(meter)


@pytest.mark.parametrize("flood", [b"x" * 50, b"1.0\n" * 20])
def test_a_flood_is_bounded_and_got_over_when_it_ends(bench: Bench, flood: bytes):
    """case 26: with and without ends of lines; by bytes and by time."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.flood(flood)
    bench.scripted.mute = True
    bench.fails(meter, (Unreadable, OutOfStep), "does not stop sending")
    assert meter.state is MeterState.OUT_OF_STEP
    peer.flood(b"")
    bench.scripted.mute = False
    bench.reads_its_own(meter)


def test_a_flood_at_opening_is_given_up_in_time(bench: Bench):
    """case 26."""
    peer = bench.plug()
    peer.flood(b"U" * 64)
    bench.scripted.mute = True
    meter = bench.meter_on(peer.device)
    with bench.in_time(TIMING.resync_s), pytest.raises((Unreadable, OutOfStep), match="does not stop sending"):
        meter.open()
    peer.flood(b"")


def test_a_meter_that_holds_up_the_flow_is_given_up_by_the_write_deadline(bench: Bench):
    """case 27: it sent XOFF; closing does not wait for it either."""
    bench.profile = replace(
        bench.profile,
        line=replace(bench.profile.line, flow=Flow.XON_XOFF, write_timeout_s=0.3),
        timing=replace(TIMING, reopen_s=0.5),
    )
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.say(b"\x13")
    assert peer.wait_sent()
    with bench.in_time(meter.longest_read_s()), pytest.raises(LinkLost, match=r"takes nothing that is sent.*flow"):
        meter.read()
    assert meter.state is MeterState.DISCONNECTED
    with bench.in_time(1.0):
        meter.close()


def test_a_meter_that_took_nothing_for_a_while_is_read_again(bench: Bench):
    """case 27: XOFF, and XON a second later; without a restart."""
    bench.profile = replace(bench.profile, line=replace(bench.profile.line, flow=Flow.XON_XOFF, write_timeout_s=0.3))
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    peer.say(b"\x13")
    assert peer.wait_sent()
    begun = time.monotonic()
    give_up = begun + meter.longest_read_s()
    while True:
        try:
            reading = meter.read()
            break
        except (LinkLost, NoAnswer):
            assert time.monotonic() < give_up
            if time.monotonic() > begun + 1.0:
                peer.say(b"\x11")  # each time anew: opening a line throws away what has come
    assert bench.is_own(reading)


def test_a_meter_that_stops_reading_fills_the_line_and_is_given_up(bench: Bench):
    """case 27: the system's buffer takes some thousand bytes first; then the write deadline holds."""
    bench.profile = replace(
        bench.profile,
        line=replace(bench.profile.line, write_timeout_s=0.3),
        timing=replace(TIMING, reopen_s=0.5),
        setup=("*CLS", "SYST:" + "X" * 60_000),
    )
    peer = bench.plug()
    heard = bench.scripted.hear

    def stops(message: str) -> Chunks:
        if message == "SYST:REM":
            peer.turn_deaf()
        return heard(message)

    bench.scripted.hear = stops  # type: ignore[method-assign]
    meter = bench.meter_on(peer.device)
    with bench.in_time(TIMING.resync_s + 0.5), pytest.raises(LinkLost, match="takes nothing that is sent"):
        meter.open()


def test_a_meter_that_is_wedged_is_to_be_switched_off_and_on_and_is_read_then(bench: Bench):
    """case 28: after three failures; each of them in bounded time."""
    bench.profile = replace(bench.profile, timing=replace(TIMING, identity_s=0.2))
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.mute = True
    for _ in range(2):
        assert "switch the meter off" not in bench.fails(meter, NoAnswer, "no answer")
    bench.fails(meter, NoAnswer, "not responding, 3 times now: switch the meter off and on")
    bench.scripted.power_on()
    bench.scripted.mute = False
    bench.reads_its_own(meter)
    bench.scripted.mute = True
    assert "switch the meter off" not in bench.fails(meter, NoAnswer, "no answer")


def test_a_meter_that_answers_everything_but_readings_is_wedged_too(bench: Bench):
    """case 28: its parser lives, its converter does not."""
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.extend([lambda _: []] * 3)
    for _ in range(2):
        assert "switch the meter off" not in bench.fails(meter, NoAnswer, "no answer")
    bench.fails(meter, NoAnswer, "not responding, 3 times now: switch the meter off and on")
    bench.reads_its_own(meter)


def test_a_second_program_on_the_port_is_told_who_holds_it(bench: Bench):
    """case 29: and the first one reads on undisturbed."""
    peer = bench.plug()
    meter = bench.on_volts(peer.device)
    heard = len(bench.scripted.heard)
    code = (
        "from drivers.link import Link\nfrom drivers.meter import Meter\n"
        "from drivers.profile_files import load_meter_profile\n"
        f"Meter(Link({peer.device!r}), load_meter_profile('scpi'), 'scpi@x').open()\n"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=30, check=False)
    assert other.returncode == 1
    assert "PortBusy" in other.stderr
    assert "held by" in other.stderr
    assert bench.scripted.heard[heard:] == []
    bench.reads_its_own(meter)


def test_a_network_connection_that_stays_silent_is_in_use(bench: Bench):
    """case 29: one client at a time; the second gets in when the first has left."""
    peer = SocketMeter(lambda message: bench.scripted.hear(message))
    try:
        first = bench.on_volts(peer.device)
        second = bench.meter_on(peer.device)
        with bench.in_time(TIMING.resync_s), pytest.raises(PortBusy, match="connected, but silent: in use"):
            second.open()
        bench.reads_its_own(first)
        first.close()
        bench.on_volts(peer.device)
    finally:
        peer.kill()


ENDLESS = b'-350,"Queue overflow"\n'


def test_an_error_queue_that_never_empties_is_bounded_by_count(bench: Bench):
    """case 30: the errors are logged, and nothing that is done now is blamed for them."""
    bench.scripted.answer_faults["SYST:ERR?"] = instead((0.0, ENDLESS))
    meter = bench.on_volts(bench.plug().device)
    assert [error.code for error in meter.check_errors()] == [-350] * bench.profile.errors_most
    bench.reads_its_own(meter)


def test_an_error_queue_that_never_empties_is_bounded_by_time(bench: Bench):
    """case 30: 20 errors at 0.1 s each would take 2 s."""
    bench.scripted.answer_faults["SYST:ERR?"] = instead((0.1, ENDLESS))
    peer = bench.plug()
    with bench.in_time(TIMING.resync_s):
        meter = bench.on_volts(peer.device)
    with bench.in_time(2 * TIMING.response_s):
        assert 1 < len(meter.check_errors()) < 8
    bench.reads_its_own(meter)


def test_old_errors_are_not_blamed_on_a_time_out(bench: Bench, caplog: pytest.LogCaptureFixture):
    """case 30."""
    bench.scripted.answer_faults["SYST:ERR?"] = instead((0.0, ENDLESS))
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.line_faults.append(lambda _: [])
    assert "-350" not in bench.fails(meter, NoAnswer, "no answer")
    assert "old errors were queued: -350 Queue overflow" in caplog.text
    bench.reads_its_own(meter)


def blind(bench: Bench) -> None:
    """The profile has no query that proves the selection: the error queue tells."""
    functions = {q: replace(f, verify=()) for q, f in bench.profile.functions.items()}
    bench.profile = replace(bench.profile, functions=functions)


def test_old_errors_are_not_blamed_on_a_selection(bench: Bench):
    """case 30: where only the error queue tells whether it took."""
    blind(bench)
    bench.scripted.answer_faults["SYST:ERR?"] = instead((0.0, ENDLESS))
    meter = bench.on_volts(bench.plug().device)
    bench.reads_its_own(meter)


def test_errors_of_the_panel_are_not_blamed_on_a_selection_but_its_own_are(bench: Bench):
    """case 30: queued since the meter was opened, and before the command."""
    blind(bench)
    meter = bench.on_volts(bench.plug().device)
    bench.scripted.errors.extend([b'-410,"Query INTERRUPTED"'] * 3)
    meter.select(next(iter(bench.profile.functions)), 100.0)
    scripted: UniqueMeter = bench.scripted
    scripted.configure = lambda *_: scripted.errors.append(b'-222,"Data out of range"')  # type: ignore[method-assign]
    scripted.errors.extend([b'-410,"Query INTERRUPTED"'] * 3)
    with pytest.raises(MeterError, match=r"CONF:VOLT:AC 0.1 was refused: -222 Data out of range \(execution error"):
        meter.select(next(iter(bench.profile.functions)), 0.05)


def test_without_a_proof_of_the_selection_an_answer_of_another_query_still_shows(bench: Bench):
    """case 2, where the profile has no query that proves the selection: the error queue stands behind the readings."""
    blind(bench)
    meter = bench.on_volts(bench.plug().device)
    plain = lambda answer: [(0.0, answer)]  # noqa: E731
    bench.scripted.line_faults.extend([plain, lambda answer: [(0.0, b"+6.30000009E+00\n"), (0.05, answer)]])
    with bench.in_time(meter.longest_read_s()), suppress(OutOfStep):
        assert bench.is_own(meter.read())
    bench.reads_its_own(meter)
