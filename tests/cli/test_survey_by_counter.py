"""`turnproof survey JOB --strip`: turns that come off counted by a counter, on a rehearsal's real ports."""

from __future__ import annotations

import json
import signal
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from bench.operators.rehearsal import ControlPort
from tests.cli.conftest import Ended
from tests.cli.running import lines, rehearsal, turnproof
from tests.warm_start import Started

Run = Callable[..., Ended]


@contextmanager
def stripping(job: str, winding: str, counter: str, *options: str) -> Iterator[subprocess.Popen[str]]:
    """The command in a process of its own, past its first line of JSON."""
    process = Started(
        "survey", job, "--strip", winding, "--counter", counter, "--json", *options,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()


def until(process: subprocess.Popen[str], off: float) -> dict[str, Any]:
    """Read until so many turns are off."""
    assert process.stdout is not None
    while True:
        line = process.stdout.readline()
        assert line, process.stderr.read() if process.stderr else ""
        said: dict[str, Any] = json.loads(line)
        if said.get("off", -1.0) >= off and "speed" in said and said["speed"] is not None:
            return said


def test_every_winding_comes_off_one_of_them_by_a_counter_that_runs_backwards(run: Run, coastal: str) -> None:
    with (
        rehearsal("--speed", "3") as (ports, control),
        stripping(coastal, "heater", ports["counter"]) as heater,
    ):
        until(heater, 0.0)
        control.do("spindle", to=-16.0, rpm=240.0)
        standing = until(heater, 16.0)
        out, error = heater.communicate("\ny\n", timeout=40)
    assert heater.returncode == 0, error
    assert standing["low"] == standing["high"] == 16.0
    result = lines(out)[-1]["result"]
    assert (result["turns"], result["within"], result["how"], result["goes"]) == (16.0, 0.125, "counter", 1)
    assert "Is the winding off whole? [y/N]" in error
    for winding, typed in (("rectifier", "13\n"), ("ht", "600\n692\n"), ("primary", "280\n")):
        assert run("survey", coastal, "--strip", winding, typed=typed + "done\n").status == 0
    ended = run("survey", coastal, "--json")
    document = json.loads(ended.out)
    assert ended.status == 0
    assert document["whole"]
    assert document["turns_per_volt"]["value"] == pytest.approx(280 / 117 / 0.996, rel=0.01)


def test_every_winding_of_the_other_job_typed(run: Run, gate: str) -> None:
    for winding, typed in (("supply24", "186\n"), ("primary", "800\n784\n")):
        assert run("survey", gate, "--strip", winding, typed=typed + "done\n").status == 0
    document = json.loads(run("survey", gate, "--json").out)
    assert document["whole"]
    assert document["turns_per_volt"]["value"] == pytest.approx(1584 / 230 / 0.996, rel=0.01)


def test_a_killed_go_whose_port_was_lost_goes_on_where_the_board_stands(gate: str) -> None:
    with rehearsal("--speed", "3") as (ports, control):
        with stripping(gate, "supply24", ports["counter"]) as killed:
            until(killed, 0.0)
            control.do("spindle", to=-30.0, rpm=240.0)
            until(killed, 4.0)
            killed.send_signal(signal.SIGKILL)
            killed.communicate()
        control.do("spindle", wait=True)
        with stripping(gate, "supply24", ports["counter"], "--rest", "1", "--done") as again:
            until(again, 30.0)
            control.do("spindle", to=-40.0, rpm=240.0)
            control.do("unplug", port="counter", seconds=1.0)
            out, error = again.communicate(timeout=40)
    told = lines(out)
    assert again.returncode in (0, 2), error  # 40 turns are not what its volts tell
    assert "going on from" in error
    assert {"LinkWentAway", "LinkCameBack"} <= {one.get("event") for one in told}
    assert told[-1]["result"]["turns"] == 40.0


def test_a_go_ends_by_rest_with_the_input_closed_and_typing_goes_on_from_it(run: Run, gate: str) -> None:
    with (
        rehearsal("--speed", "3") as (ports, control),
        stripping(gate, "supply24", ports["counter"], "--rest", "1") as go,
    ):
        assert go.stdin is not None
        go.stdin.close()
        go.stdin = None
        until(go, 0.0)
        control.do("spindle", to=10.0, rpm=240.0)
        _, error = go.communicate(timeout=40)
    assert go.returncode == 2
    assert "supply24: 10 turns off so far, kept" in error
    ended = run("survey", gate, "--strip", "supply24", typed="176\ndone\n")
    assert "off whole, 186 ± 0.62 turns (counter and typed)" in ended.out


def test_what_is_wound_on_again_is_subtracted_and_a_broken_off_go_is_kept(gate: str) -> None:
    with rehearsal("--speed", "3") as (ports, control), stripping(gate, "supply24", ports["counter"]) as go:
        until(go, 0.0)
        control.do("spindle", to=-10.0, rpm=240.0)
        until(go, 10.0)
        control.do("spindle", to=-7.0, rpm=240.0, wait=True)
        assert go.stdout is not None
        while json.loads(go.stdout.readline()).get("off") != 7.0:
            pass
        go.send_signal(signal.SIGINT)
        _, error = go.communicate(timeout=20)
    assert go.returncode == 130
    assert "supply24: 7 turns off so far, kept" in error
    assert "interrupted" in error


def test_a_counter_that_is_not_there_is_one_line(gate: str) -> None:
    done = turnproof("survey", gate, "--strip", "supply24", "--counter", "hall@/dev/ttyNOTHERE")
    assert done.returncode == 4
    assert "/dev/ttyNOTHERE" in done.stderr


def test_a_go_of_another_counter_is_taken_up_from_what_is_recorded(gate: str) -> None:
    def go_of(port: str, control: ControlPort, turns: float) -> tuple[str, str]:
        with stripping(gate, "supply24", port) as go:
            until(go, 0.0)
            control.do("spindle", by=turns, rpm=240.0)
            until(go, 5.0)
            go.send_signal(signal.SIGINT)
            return go.communicate(timeout=20)

    with rehearsal("--speed", "3") as (ports, control):
        go_of(ports["counter"], control, -5.0)
        plain = ports["counter"].replace("hall@", "plain@")
        with stripping(gate, "supply24", plain) as go:
            _, error = go.communicate("\n", timeout=20)
    assert go.returncode == 2
    assert "5 turns off are recorded from another counter" in error
    assert "--from TURNS" in error
    assert "the go ended before the counter's first line" in error
    document = json.loads(turnproof("record", gate, "--json").stdout)
    assert [one["body"]["off"] for one in document["entries"] if one["kind"].startswith("strip")][-1] == 5.0
