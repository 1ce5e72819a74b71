"""Ctrl-C, a closed terminal, a reader or a fixture that leaves: how a command ends then."""

from __future__ import annotations

import os
import pty
import select
import shlex
import signal
import subprocess
from pathlib import Path

import pytest

from tests.cli.running import JOB, TURNPROOF, rehearsal, turnproof
from tests.warm_start import Started


@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_winding_that_is_broken_off_says_what_is_kept(sent: signal.Signals) -> None:
    with rehearsal("--speed", "10") as (ports, _):
        winding = Started(
            "wind", JOB, "heater", "--counter", ports["counter"], "--json",
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert winding.stdout is not None
        winding.stdout.readline()  # it has heard the board
        winding.send_signal(sent)
        _, error = winding.communicate(timeout=20)
    assert winding.returncode == 130
    assert list(filter(None, error.splitlines())) == ["heater: 0.00 of 19 turns so far, kept", "interrupted"]


def test_a_reader_that_leaves_is_never_taken_for_a_verdict() -> None:
    test = Started(
        "test", JOB, "--meter", "hand", "--operator", "json",
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


@pytest.mark.parametrize("hung_up", [True, False])
@pytest.mark.parametrize(
    ("arguments", "prompt"),
    [
        (("survey", "{job}", "--read"), b"winding 1"),
        (("survey", "{job}", "--strip", "heater"), b"turns off in this go"),
        (("wind", JOB, "heater", "--counter", "hand"), b"turns in layer"),
        (("new", "{job}.new"), b"1/5"),
    ],
)
def test_a_closed_terminal_ends_quietly_and_leaves_no_trace_of_a_failure(
    tmp_path: Path, home: Path, arguments: tuple[str, ...], prompt: bytes, hung_up: bool
) -> None:
    job = tmp_path / "job.toml"
    found = '[[as_found.winding]]\nname = "heater"\n' if "--strip" in arguments else ""
    job.write_text(f'schema = 1\n[identity]\nnumber = "Q-1"\n{found}', encoding="utf-8")
    process, terminal = pty.fork()
    if process == 0:  # pragma: no cover - it becomes the command
        if not hung_up:
            signal.signal(signal.SIGHUP, signal.SIG_IGN)
        os.execv(TURNPROOF[0], [*TURNPROOF, *(one.format(job=job) for one in arguments)])
    said = b""
    while prompt not in said:
        said += os.read(terminal, 4096)
    os.close(terminal)
    status = _ended_within(process, 20.0)
    assert status in (2, 130)
    assert list(home.rglob("failure.txt")) == []
    assert not Path(f"{job}.new").exists()


def _ended_within(process: int, seconds: float) -> int:
    """Exit status; the process is killed where it outlives its terminal."""
    handle = os.pidfd_open(process)
    ended, _, _ = select.select([handle], [], [], seconds)
    os.close(handle)
    if not ended:
        os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    assert ended, f"still running {seconds} s after its terminal was closed"
    return os.waitstatus_to_exitcode(status)


def test_questions_that_are_broken_off_leave_no_file_and_say_so(tmp_path: Path) -> None:
    done = turnproof("new", str(tmp_path / "radio.toml"), typed="Radio\n117 V 60 Hz\n")
    assert done.returncode == 130
    assert done.stderr.splitlines()[-2:] == ["nothing was written", "interrupted"]
    assert not (tmp_path / "radio.toml").exists()


@pytest.mark.parametrize(
    ("command", "status", "said"),
    [
        (f"test {shlex.quote(JOB)} --meter hand", 2, "stopped: end of input"),
        ("new nothing.toml", 130, "interrupted"),
        ("read hand voltage_ac", 130, "interrupted"),
        ("count hand", 0, ""),
    ],
)
def test_an_input_that_was_closed_has_ended(command: str, status: int, said: str, tmp_path: Path) -> None:
    """By whoever started it: nothing reads from it, and no file of ours is taken for it."""
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    done = subprocess.run(
        f"{shlex.join(TURNPROOF)} {command} <&-", shell=True, capture_output=True, text=True, check=False, timeout=60,
        cwd=tmp_path, env=environment,
    )  # fmt: skip
    assert (done.returncode, "failed" in done.stderr) == (status, False), done.stderr
    assert said in done.stdout + done.stderr
