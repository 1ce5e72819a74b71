"""`turnproof survey --strip` with turns that are typed: a winding comes off in goes, and what is said of it."""

from __future__ import annotations

import json
import os
import re
import shlex
import signal
import subprocess
from collections.abc import Callable

import pytest

from bench.job.profiles import example_job
from tests.cli.conftest import Ended
from tests.cli.running import TURNPROOF, lines
from tests.cli.surveying import WINDINGS, record_of
from tests.warm_start import Started

Run = Callable[..., Ended]


def test_a_winding_comes_off_in_goes_that_add_up(run: Run, gate: str) -> None:
    ended = run("survey", gate, "--strip", "supply24", typed="100\n90.5\n-4.5\ndone\n")
    assert ended.status == 0
    assert "supply24: off whole, 186 ± 0.5 turns (typed)" in ended.out
    assert "next: primary: expect 15" in ended.out
    goes = [one["body"]["turns"] for one in record_of(run, gate) if one["kind"] == "strip go"]
    assert goes == [100.0, 90.5, -4.5]
    assert run("survey", gate).status == 0


def test_before_the_first_turn_it_says_what_to_expect_and_keeps_it(run: Run, gate: str, empty: str) -> None:
    run("survey", gate, "--strip", "supply24", typed="186\ndone\n")
    ended = run("survey", gate, "--strip", "primary")
    assert re.search(r"primary: expect 15\d\d ± \d+ turns, from readings and counts", ended.out)
    begun = [one["body"] for one in record_of(run, gate) if one["kind"] == "strip begun"]
    assert begun[1]["expected"]["low"] < 1584 < begun[1]["expected"]["high"]
    run("survey", empty, "--read", typed=WINDINGS)
    assert "nothing read or counted yet tells its turns" in run("survey", empty, "--strip", "ht").out


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("ten", "'ten' is no number of turns"),
        ("-3", "3 turns can't be taken back, expected at most the 0 that are off"),
        ("0", "expected more than none"),
        ("done", "nothing came off yet"),
        ("999999", "expected at most 100000"),
    ],
)
def test_what_can_t_be_turns_is_asked_again(run: Run, gate: str, typed: str, told: str) -> None:
    ended = run("survey", gate, "--strip", "supply24", typed=f"{typed}\n186\ndone\n")
    assert ended.status == 0
    assert told in ended.error


def test_a_winding_that_is_not_off_whole_is_no_count_and_goes_on_next_time(run: Run, gate: str) -> None:
    first = run("survey", gate, "--strip", "supply24", typed="100\n")
    assert first.status == 2
    assert "supply24: 100 turns off so far, kept" in first.error
    assert json.loads(run("survey", gate, "--json").out)["windings"][1]["counted"] is None
    second = run("survey", gate, "--strip", "supply24", typed="86\ndone\n")
    assert "supply24: going on from 100 turns off as recorded" in second.error
    assert "off whole, 186" in second.out


def test_the_end_of_input_means_done_where_that_was_said(run: Run, gate: str) -> None:
    ended = run("survey", gate, "--strip", "supply24", "--done", "--json", typed="100\n86\n")
    said = lines(ended.out)
    assert ended.status == 0
    assert [one["off"] for one in said[:-1]] == [0.0, 100.0, 186.0]
    assert said[-1]["result"]["turns"] == 186.0
    assert said[-1]["survey"]["turns_per_volt"]["value"] == pytest.approx(6.93, rel=0.02)
    assert run("survey", gate, "--strip", "primary", "--done", typed="").status == 2


def test_a_winding_that_is_off_is_counted_anew_only_when_that_is_said(run: Run, gate: str) -> None:
    run("survey", gate, "--strip", "supply24", typed="186\ndone\n")
    refused = run("survey", gate, "--strip", "supply24", typed="5\ndone\n")
    assert refused.status == 3
    assert re.fullmatch(
        r"supply24: is recorded as off with 186 turns on \S+ UTC; --again counts it anew\n", refused.error
    )
    run("survey", gate, "--strip", "supply24", "--again", typed="100\n")
    assert json.loads(run("survey", gate, "--json").out)["windings"][1]["counted"]["turns"] == 186.0
    run("survey", gate, "--strip", "supply24", typed="87\ndone\n")
    assert json.loads(run("survey", gate, "--json").out)["windings"][1]["counted"]["turns"] == 187.0


def test_a_count_of_the_job_file_is_told_and_replaced(run: Run) -> None:
    job = str(example_job("gate-opener"))
    ended = run("survey", job, "--strip", "supply24", typed="187\ndone\n")
    assert "the job file has 186 turns; what is counted now takes their place" in ended.out
    assert json.loads(run("survey", job, "--json").out)["windings"][1]["counted"]["turns"] == 187.0


def test_a_miscount_is_told_at_once(run: Run, coastal: str) -> None:
    run("survey", coastal, "--strip", "rectifier", typed="13\ndone\n")
    run("survey", coastal, "--strip", "primary", typed="280\ndone\n")
    ended = run("survey", coastal, "--strip", "heater", typed="18\ndone\n")
    assert ended.status == 2
    assert "heater: 18 turns counted, but volts and the other counts say 16.0" in ended.out
    assert "What disagrees" in ended.out


def test_turns_that_are_off_already_are_said(run: Run, gate: str) -> None:
    ended = run("survey", gate, "--strip", "supply24", "--from", "180", typed="6\ndone\n")
    assert "off whole, 186 " in ended.out


def test_a_winding_out_of_turn_is_told(run: Run, coastal: str) -> None:
    ended = run("survey", coastal, "--strip", "primary")
    assert "primary: the outermost that is not counted yet is heater" in ended.out


def test_control_c_keeps_what_is_off(gate: str) -> None:
    strip = Started(
        "survey", gate, "--strip", "supply24", stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert strip.stdin is not None
    assert strip.stdout is not None
    strip.stdin.write("100\n")
    strip.stdin.flush()
    while "(100 off so far" not in strip.stdout.readline(60):
        pass
    strip.send_signal(signal.SIGINT)
    _, error = strip.communicate(timeout=20)
    assert strip.returncode == 130
    assert list(filter(None, error.splitlines())) == ["supply24: 100 turns off so far, kept", "interrupted"]


def test_a_closed_input_is_the_end_of_a_go_and_no_failure(gate: str) -> None:
    done = subprocess.run(
        f"{shlex.join([*TURNPROOF, 'survey', gate])} --strip supply24 <&-", shell=True, capture_output=True, text=True,
        check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert "supply24: 0 turns off so far, kept" in done.stderr
