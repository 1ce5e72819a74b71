"""Ctrl-C, a closed terminal, a reader or a fixture that leaves: how a command ends then."""

from __future__ import annotations

import signal
import subprocess
from pathlib import Path

import pytest

from tests.cli.running import JOB, TURNPROOF, rehearsal, turnproof


@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_winding_that_is_broken_off_says_what_is_kept(sent: signal.Signals) -> None:
    with rehearsal("--speed", "10") as (ports, _):
        winding = subprocess.Popen(
            [*TURNPROOF, "wind", JOB, "heater", "--counter", ports["counter"], "--json"],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert winding.stdout is not None
        winding.stdout.readline()  # it has heard the board
        winding.send_signal(sent)
        _, error = winding.communicate(timeout=20)
    assert winding.returncode == 130
    assert list(filter(None, error.splitlines())) == ["heater: 0.00 of 19 turns so far, kept", "interrupted"]


def test_a_reader_that_leaves_is_never_taken_for_a_verdict() -> None:
    test = subprocess.Popen(
        [*TURNPROOF, "test", JOB, "--meter", "hand", "--operator", "json"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert test.stdout is not None
    assert test.stdin is not None
    test.stdout.readline()
    test.stdout.close()
    test.stdin.write("no reply\n")
    test.stdin.close()
    assert test.wait(20) == 2
    assert test.stderr is not None
    assert test.stderr.read() == ""
    test.stderr.close()


def test_bytes_that_are_no_text_are_a_malformed_reply() -> None:
    done = subprocess.run(
        [*TURNPROOF, "test", JOB, "--meter", "hand", "--operator", "json"],
        input=b'\xff\xfe\x00\n{"id": ' + b"9" * 5000 + b'}\n{"id": "a1", "stop": "enough"}\n',
        capture_output=True, check=False, timeout=30,
    )  # fmt: skip
    first, second, third, *_, last = done.stdout.splitlines()
    assert done.returncode == 2, done.stderr
    assert b'"problem"' not in first
    assert b'"problem"' in second
    assert b'"problem"' in third
    assert b'"verdict": "incomplete"' in last


def test_a_folder_that_is_not_there_is_told_before_any_question(tmp_path: Path) -> None:
    done = turnproof("new", str(tmp_path / "no" / "such" / "job.toml"), typed="Radio\n")
    assert done.returncode == 3
    assert done.stderr == f"{tmp_path}/no/such: no such folder, expected one that exists\n"
    assert done.stdout == ""
