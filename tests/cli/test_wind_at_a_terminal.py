"""`turnproof wind` with its keys on a real terminal, and with lines where there is none, on a rehearsal's ports."""

from __future__ import annotations

import hashlib
import json
import os
import pty
import select
import signal
import subprocess
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bench.records.entry import Kind
from bench.records.store import Store
from bench.winding.state import state_of
from tests.cli.running import JOB, TURNPROOF, lines, rehearsal, turnproof
from tests.warm_start import Started


class Terminal:
    """A person in front of a terminal of 100 columns and 30 rows."""

    def __init__(self, *arguments: str) -> None:
        self.handle, theirs = pty.openpty()
        environment = {**os.environ, "COLUMNS": "100", "LINES": "30", "TERM": "xterm"}
        self.process = Started(
            *arguments, own_terminal=True, stdin=theirs, stdout=theirs, stderr=theirs, env=environment
        )
        os.close(theirs)
        self.seen = ""

    def press(self, keys: str) -> None:
        os.write(self.handle, keys.encode())

    def sees(self, text: str, within: float = 20.0) -> bool:
        """Whether `text` came on the screen since the last look that found what it sought."""
        give_up = time.monotonic() + within
        while text not in self.seen:
            left = give_up - time.monotonic()
            if left <= 0 or not select.select([self.handle], [], [], left)[0]:
                return False
            try:
                self.seen += os.read(self.handle, 65536).decode("utf-8", "replace")
            except OSError:
                return text in self.seen
        self.seen = self.seen.partition(text)[2]
        return True

    def status(self, within: float = 20.0) -> int:
        """Its exit status; what it still says is read."""
        self.sees("\0", 0.01)
        handle = os.pidfd_open(self.process.pid)
        give_up = time.monotonic() + within
        while not select.select([handle], [], [], 0.05)[0] and time.monotonic() < give_up:
            self.sees("\0", 0.05)
        os.close(handle)
        return self.process.wait(within)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.handle)


@contextmanager
def terminal(*arguments: str) -> Iterator[Terminal]:
    one = Terminal(*arguments)
    try:
        yield one
    finally:
        one.close()


def recorded(home: Path, kind: Kind) -> list[dict]:
    with Store(home / "data" / "records.sqlite") as store:
        return [one.body for one in store.entries("TP-0107", kind)]


def test_a_winding_by_keys_from_the_first_turn_to_the_checked_coil(home: Path) -> None:
    with rehearsal("--speed", "4") as (ports, control):
        options = ("--rest", "1", "--no-sounds")
        with terminal("wind", JOB, "heater", "--counter", ports["counter"], *options) as person:
            assert person.sees("heater: 19 turns")
            assert person.sees("target in 19.0 turns")
            control.do("spindle", to=12.0, rpm=240.0)
            assert person.sees("to go  7.0")
            person.press(" ")
            assert person.sees("ON HOLD")
            control.do("spindle", to=14.0, rpm=240.0)
            assert person.sees("+2.0 on hold: space leaves that out, a adds it")
            person.press(" ")
            assert person.sees("going on at 12.0 turns")
            person.press("b2\r")
            assert person.sees("2 turns taken back")
            person.press("s11\r")
            assert person.sees("how do you know")
            person.press("counted with a needle\r")
            assert person.sees("set to 11: counted with a needle")
            control.do("spindle", to=22.0, rpm=240.0)
            assert person.sees("heater: 19.00 of 19 turns, done")
            assert person.sees("now  target: finish lead")
            assert person.sees("ohms with both clips on one wire")
            person.press("q\n")
            assert person.status() == 0
    (correction,) = [one for one in recorded(home, Kind.CORRECTION) if one["reason"] == "counted with a needle"]
    assert (correction["before"], correction["turns"]) == (10.0, 11.0)
    assert [one["held"] for one in recorded(home, Kind.HOLD)] == [True, False]
    assert recorded(home, Kind.WINDING_DONE)[-1]["turns"] == 19.0
    (segment,) = recorded(home, Kind.WIRE_LOG)
    kept = (home / "data" / "lines" / "TP-0107" / segment["file"]).read_bytes()
    assert segment["sha256"] == hashlib.sha256(kept).hexdigest()
    assert kept.splitlines()[-1].startswith(b'{"t": ')
    assert b'"event": "closed"' in kept.splitlines()[-1]
    assert "chain whole" in turnproof("record", "verify", JOB).stdout


def test_leaving_gives_the_terminal_back_as_it_was(home: Path) -> None:
    with (
        rehearsal("--speed", "4") as (ports, _),
        terminal("wind", JOB, "heater", "--counter", ports["counter"], "--no-sounds") as person,
    ):
        assert person.sees("target in 19.0 turns")
        assert not termios.tcgetattr(person.handle)[3] & termios.ECHO
        person.press("q")
        assert person.sees("\x1b[?1049l")
        assert person.sees("0.00 of 19 turns so far, kept")
        assert person.status() == 2
        assert termios.tcgetattr(person.handle)[3] & termios.ECHO


def test_stopped_by_control_z_it_gives_the_terminal_back_and_takes_it_again(home: Path) -> None:
    with (
        rehearsal("--speed", "4") as (ports, control),
        terminal("wind", JOB, "heater", "--counter", ports["counter"], "--no-sounds") as person,
    ):
        assert person.sees("target in 19.0 turns")
        os.kill(person.process.pid, signal.SIGTSTP)
        assert person.sees("\x1b[?1049l")
        control.do("spindle", to=4.0, rpm=240.0, wait=True)  # the board goes on counting
        os.kill(person.process.pid, signal.SIGCONT)
        assert person.sees("\x1b[?1049h")
        assert person.sees("to go  15.0")
        person.press("q")
        assert person.status() == 2


def test_a_full_disk_is_one_line_and_loses_no_turn(home: Path) -> None:
    with rehearsal("--speed", "4") as (ports, control):
        wind = ["wind", JOB, "heater", "--counter", ports["counter"], "--json"]
        full = subprocess.Popen(
            ["bash", "-c", 'ulimit -f 320; exec "$@"', "bash", *TURNPROOF, *wind],
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert full.stdout is not None
        assert "turns" in json.loads(full.stdout.readline())
        for turn in range(1, 40):
            control.do("spindle", to=9.0 if turn % 2 else 6.0, rpm=600.0, wait=True)
            if full.poll() is not None:
                break
        _, error = full.communicate(timeout=20)
        control.do("spindle", to=8.0, rpm=240.0, wait=True)
        assert full.returncode == 4, error
        (line,) = [one for one in error.splitlines() if one and "lines can't be kept" not in one]
        assert "records.sqlite: not stored: " in line
        again = Started(*wind, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True)
        assert again.stdout is not None
        first = next(one for one in map(json.loads, again.stdout) if "turns" in one)
        again.kill()
        again.communicate()
    assert (first["turns"], first["low"], first["high"]) == (8.0, 8.0, 8.0)


def test_a_winding_killed_on_hold_goes_on_on_hold(home: Path) -> None:
    with rehearsal("--speed", "4") as (ports, control):
        command = ("wind", JOB, "heater", "--counter", ports["counter"], "--no-sounds")
        with terminal(*command) as person:
            assert person.sees("target in 19.0 turns")
            control.do("spindle", to=9.0, rpm=240.0)
            assert person.sees("to go  10.0")
            person.press(" ")
            assert person.sees("ON HOLD")
            os.kill(person.process.pid, signal.SIGKILL)
        control.do("spindle", to=11.0, rpm=240.0, wait=True)
        with terminal(*command) as person:
            assert person.sees("going on from 9.00 turns as recorded, on hold")
            assert person.sees("+2.0 on hold")
            person.press("a")
            assert person.sees("going on at 11.0 turns")
            person.press("q")
            assert person.status() == 2
    with Store(home / "data" / "records.sqlite") as store:
        state = state_of("heater", [(one.kind, one.body, one.at) for one in store.entries("TP-0107")])
    assert (state.turns, state.low, state.high, state.hold, state.goes) == (11.0, 11.0, 11.0, None, 2)
    assert len(recorded(home, Kind.WIRE_LOG)) == 2  # the segment of the one that was killed, too


def test_a_fixture_gives_orders_as_lines() -> None:
    with rehearsal("--speed", "4") as (ports, control):
        winding = Started(
            "wind", JOB, "heater", "--counter", ports["counter"], "--json",
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1,
        )  # fmt: skip
        assert winding.stdin is not None
        assert winding.stdout is not None
        winding.stdout.readline()
        control.do("spindle", to=5.0, rpm=240.0)
        while json.loads(winding.stdout.readline()).get("turns") != 5.0:
            pass
        winding.stdin.write("hold tea\nleap\nset 6 counted\ngo\nend enough for a trial\n")
        winding.stdin.close()
        told = lines(winding.stdout.read())
        winding.stdout.close()
        assert winding.wait(20) == 2
    said = [one["said"] for one in told if "said" in one]
    assert said[0].startswith("on hold")
    assert "'leap' is no order" in said[1]
    assert said[2:4] == ["set to 6: counted", "going on at 6.0 turns"]
    assert told[-1]["result"] == {"winding": "heater", "turns": 6.0, "met": False}


def test_leaving_by_a_line_says_where_it_stands_last() -> None:
    with rehearsal("--speed", "4") as (ports, _):
        winding = Started(
            "wind", JOB, "heater", "--counter", ports["counter"], "--json",
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )  # fmt: skip
        assert winding.stdin is not None
        assert winding.stdout is not None
        winding.stdout.readline()
        out, _ = winding.communicate("quit\n", timeout=20)
    assert lines(out)[-1]["result"] == {"winding": "heater", "turns": 0.0, "met": False, "left": True}
    assert winding.returncode == 2


def test_a_dial_is_typed_and_the_coil_is_checked_before_it_is_buried(home: Path) -> None:
    done = turnproof("wind", JOB, "primary", "--counter", "hand", typed="=88\n662\n16.3 ohm\n\n21\nn\n")
    assert done.returncode == 0, done.stderr
    assert "88 turns on the dial, 574 to go" in done.stdout
    assert "0.35 ohm taken off for the leads" in done.stdout
    assert "the count says 662: they agree" in done.stdout
    (check,) = recorded(home, Kind.WINDING_CHECK)
    assert check["winding"] == "primary"


def test_of_two_in_hand_each_is_read_before_they_are_joined(home: Path) -> None:
    typed = "19\n0.0720 ohm\n0.0728 ohm\n\nn\n"
    bench = home / "config" / "bench.toml"
    bench.parent.mkdir(parents=True, exist_ok=True)
    bench.write_text(
        'schema = 1\n[[meter]]\nname = "bridge"\nuse = "hand"\naccuracy = { resistance = "0.1 % + 1 counts" }\n'
    )
    done = turnproof("wind", JOB, "heater", "--counter", "hand", "--meter", "bridge", "--leads-zeroed", typed=typed)
    assert done.returncode == 0, done.stdout
    assert "ohms of strand 2, not joined yet" in done.stdout
    assert "now join starts with starts, finishes with finishes" in done.stdout
    (check,) = recorded(home, Kind.WINDING_CHECK)
    assert (check["check"], check["ohms"]) == ("strands", [0.072, 0.0728])


def test_a_wire_that_is_broken_is_told_before_it_is_buried(home: Path) -> None:
    done = turnproof("wind", JOB, "primary", "--counter", "hand", typed="=662\nOL\nn\n")
    assert done.returncode == 2
    assert "open: the wire is broken, or an end is not bare" in done.stdout


def test_a_dial_goes_on_over_a_pause_and_a_slip_of_it_is_asked_about(home: Path) -> None:
    first = turnproof("wind", JOB, "primary", "--counter", "hand", typed="=350\n=12\n\n")
    assert "350 turns before, and the dial shows 12: did turns come off?" in first.stdout
    assert "350 of 662 turns so far, kept" in first.stderr
    second = turnproof("wind", JOB, "primary", "--counter", "hand", "--no-checks", typed="362\n670\n662\ny\n")
    assert second.returncode == 0, second.stderr
    assert "going on from 350 turns on the dial" in second.stderr
    assert "8 turns past the target of 662: take them back until the dial shows 662" in second.stderr


def test_turns_for_another_winding_on_the_same_spindle_are_asked_about(home: Path) -> None:
    with rehearsal("--speed", "4") as (ports, control):
        wind = ("wind", JOB, "primary", "--counter", ports["counter"], "--no-sounds")
        with terminal(*wind) as person:
            assert person.sees("to go  662.0")
            control.do("spindle", by=5.0, rpm=240.0, wait=True)
            assert person.sees("to go  657.0")
            person.press("q")
            assert person.status() == 2
        control.do("spindle", by=7.0, rpm=240.0, wait=True)
        with terminal(*wind) as person:
            assert person.sees("+7.0 on hold: space leaves that out, a adds it")
            person.press(" ")
            assert person.sees("going on at 5.0 turns")
            person.press("q")
            assert person.status() == 2
        again = turnproof(*wind, "--from", "100", "--json")
    assert again.returncode == 3
    assert "5.00 turns are recorded; without --from it goes on from them" in again.stderr


def test_ohms_that_say_something_else_than_the_count_are_no_success(home: Path) -> None:
    done = turnproof("wind", JOB, "primary", "--counter", "hand", typed="=662\n12.9 ohm\n0.3\n20\nn\n")
    assert done.returncode == 2, done.stdout
    assert "they disagree" in done.stdout
