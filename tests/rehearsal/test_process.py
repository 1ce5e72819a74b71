"""The rehearsal as other programs meet it: a process with three ports."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import serial

from bench.job.profiles import example_job
from bench.rehearsal.ports import have_pseudo_terminals
from tests.rehearsal.running import ROOT, START, Running, query

posix = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals and signals are POSIX")


def _until(holds: Callable[[], bool], seconds: float = 20.0) -> bool:
    deadline = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > deadline:
            return False
        time.sleep(0.01)
    return True


def _edges(port: serial.Serial) -> int:
    """The count in the next whole line."""
    port.readline()
    line = port.readline().split()
    assert line[0] == b"hall"
    return int(line[5])


def _measure(running: Running) -> tuple[str, float]:
    meter = running.meter()
    leads = {"from": "heater.start", "to": "heater.finish"}
    assert running.ask("connect", quantity="voltage_ac", **leads) == {"done": True}
    fed = {"from": "primary.start", "to": "primary.finish"}
    assert running.ask("excite", volts="230 V", hertz="50 Hz", source="variac", **fed) == {"done": True}
    meter.write(b"CONF:VOLT:AC 10\n")
    readings = [float(query(meter, "READ?")) for _ in range(20)]
    return query(meter, "*IDN?"), readings[-1]


def test_a_winding_is_fed_and_read_over_the_ports(running: Running) -> None:
    identity, volts = _measure(running)
    assert identity.startswith("Rehearsal,BENCH METER,")
    assert volts == pytest.approx(6.6, rel=0.06)


def test_sockets_serve_the_same(running_tcp: Running) -> None:
    assert running_tcp.said["meter"].startswith("scpi@socket://127.0.0.1:")
    identity, volts = _measure(running_tcp)
    assert identity.startswith("Rehearsal,BENCH METER,")
    assert volts == pytest.approx(6.6, rel=0.06)


def test_what_is_said_at_the_start_is_one_whole_line(running: Running) -> None:
    assert set(running.said) == {"schema", "meter", "counter", "control", "seed", "speed", "pid"}
    assert running.said["seed"] == 4
    assert running.said["pid"] == running.process.pid


def test_the_spindle_turns_and_the_counter_tells(running: Running) -> None:
    counter = running.counter()
    assert running.ask("spindle", winding_turns=30, rpm=600, back=2) == {"done": True}
    assert running.ask("spindle", wait=True) == {"done": True}
    truth = running.ask("truth")
    assert truth["spindle_turns"] == pytest.approx(30)
    assert _until(lambda: _edges(counter) == 30 * 8)


@posix
def test_a_counter_comes_back_under_its_name_with_its_count(running: Running) -> None:
    counter = running.counter()
    running.ask("spindle", by=10, rpm=600)
    running.ask("unplug", port="counter", seconds=20)
    with pytest.raises(serial.SerialException):
        counter.read(100000)
    running.ask("spindle", wait=True)
    assert not os.path.exists(running.said["counter"].split("@")[1])
    assert _until(lambda: os.path.exists(running.said["counter"].split("@")[1]))
    assert _edges(running.counter()) == 80


def test_a_socket_comes_back_on_its_number(running_tcp: Running) -> None:
    counter = running_tcp.counter()
    running_tcp.ask("spindle", by=10, rpm=600)
    running_tcp.ask("unplug", port="counter", seconds=10)
    with pytest.raises(serial.SerialException):
        counter.read(100000)
    running_tcp.ask("spindle", wait=True)
    found = []

    def back() -> bool:
        with contextlib.suppress(serial.SerialException):
            found.append(running_tcp.counter())
        return bool(found)

    assert _until(back)
    assert _edges(found[0]) == 80


@posix
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_and_leaves_no_files(number: signal.Signals) -> None:
    with Running() as running:
        folder = Path(running.said["control"]).parent
        assert folder.is_dir()
        running.process.send_signal(number)
        assert running.process.wait(timeout=5) == 0
        assert not folder.exists()


def test_quit_is_answered_and_ends_it() -> None:
    with Running() as running:
        assert running.ask("quit") == {"done": True}
        assert running.process.wait(timeout=5) == 0


@posix
def test_it_ends_when_the_program_that_started_it_is_gone() -> None:
    starter = (
        "import subprocess, sys\n"
        "child = subprocess.Popen(sys.argv[1:], stdout=subprocess.PIPE, text=True)\n"
        "print(child.stdout.readline(), end='', flush=True)\n"
        "sys.stdin.read()\n"
    )
    command = [sys.executable, "-c", starter, *START, str(example_job("coastal-receiver"))]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT) as parent:
        assert parent.stdout is not None
        folder = Path(json.loads(parent.stdout.readline())["control"]).parent
        assert folder.is_dir()
        parent.kill()
    assert _until(lambda: not folder.exists())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nothing.toml"], "nothing.toml: no such file"),
        (["JOB", "--fault", "turns_worng"], "expected one of none, turns_wrong"),
        (["JOB", "--fault", "turns_wrong:heatr"], "expected one of primary, ht, rectifier, heater"),
        (["JOB", "--seed", "-1"], "-1"),
        (["JOB", "--speed", "0"], "0"),
        ([], "JOB"),
    ],
)
def test_bad_input_is_one_line_and_status_3(arguments: list[str], words: str) -> None:
    job = str(example_job("coastal-receiver"))
    given = [job if argument == "JOB" else argument for argument in arguments]
    done = subprocess.run([*START, *given], capture_output=True, text=True, cwd=ROOT, timeout=20)
    assert done.returncode == 3
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert words in done.stderr


def test_where_no_pseudo_terminal_is_given_sockets_serve(monkeypatch: pytest.MonkeyPatch) -> None:
    """A container may have the function and no terminals behind it."""

    def refused() -> tuple[int, int]:
        raise OSError(errno.ENODEV, "No such device")

    monkeypatch.setattr(os, "openpty", refused, raising=False)
    assert not have_pseudo_terminals()
