"""A test killed in the middle is diagnosed from the steps that were stored before."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path

import pytest

from bench.operators.rehearsal import ControlPort
from tests.cli.running import JOB, rehearsal, turnproof
from tests.warm_start import Started

BENCH = 'schema = 1\n[resistor]\nresistance = "1 kohm"\n'


def killed_at(step: str, fault: str, folder: Path) -> None:
    """A test of a unit with a fault, killed as soon as a step of this name is asked for."""
    (folder / "bench.toml").write_text(BENCH)
    with rehearsal("--speed", "100", "--seed", "4", "--fault", fault) as (ports, control):
        command = ["test", JOB, "--meter", ports["meter"], "--operator", "json", "--bench", str(folder / "bench.toml")]
        test = Started(
            *command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
        try:
            _answer_until(step, test, control)
        finally:
            test.kill()  # SIGKILL: it has no moment for anything
            test.wait(10)
            for pipe in (test.stdin, test.stdout):
                if pipe is not None:
                    pipe.close()


def _answer_until(step: str, test: Started, control: ControlPort) -> None:
    assert test.stdin is not None
    assert test.stdout is not None
    while True:
        ask = json.loads(test.stdout.readline())
        assert "result" not in ask, f"it came to its end before {step}"
        if ask["step"].startswith(step):
            return
        test.stdin.write(control.line(ask) + "\n")
        test.stdin.flush()


@pytest.mark.parametrize(
    ("step", "fault", "named", "winding"),
    [
        ("polarity", "turns_wrong:heater=2", "turns_wrong", "heater"),
        ("low_watts", "screen_closed=0.01", "screen_closed", "screen"),
    ],
)
def test_a_killed_test_is_diagnosed_from_its_stored_steps(
    tmp_path: Path, step: str, fault: str, named: str, winding: str
) -> None:
    killed_at(step, fault, tmp_path)
    entries = json.loads(turnproof("record", JOB, "--json").stdout)["entries"]
    assert any(one["kind"] == "step" for one in entries)
    assert not any(one["kind"] == "result" for one in entries), "it was not killed in the middle"
    ended = turnproof("diagnose", JOB, "--json")
    assert ended.returncode == 0, ended.stderr
    first = json.loads(ended.stdout)["findings"][0]
    assert (first["fault"], first["winding"]) == (named, winding)
    assert first["probability"] > 0.5
    assert "chain whole" in turnproof("record", "verify", JOB).stdout
