"""The command as a person runs it, and a rehearsal to run it against."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from bench.job.profiles import example_job
from bench.operators.rehearsal import ControlPort
from tests.warm_start import Started

JOB = str(example_job("coastal-receiver"))
TURNPROOF = [sys.executable, "-m", "bench"]
"""Started cold, as a person starts it: where that matters, or where a shell is to start it."""


def turnproof(
    *arguments: str, typed: str = "", timeout: float = 60.0, env: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the command with what a person types; its status and all it said."""
    pipe = subprocess.PIPE
    with Started(*arguments, stdin=pipe, stdout=pipe, stderr=pipe, env=env) as process:
        try:
            said, complained = process.communicate(typed, timeout)
        except BaseException:
            process.kill()
            raise
        return subprocess.CompletedProcess(process.args, process.returncode, said, complained)


def lines(text: str) -> list[dict[str, Any]]:
    """JSON lines."""
    return [json.loads(line) for line in text.splitlines()]


@contextmanager
def rehearsal(*options: str, job: str = JOB) -> Iterator[tuple[dict[str, str], ControlPort]]:
    """A rehearsal's ports, and its control port opened."""
    process = Started(
        "rehearse", job, *options, stdout=subprocess.PIPE, stdin=subprocess.DEVNULL,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert process.stdout is not None
    control = None
    try:
        ports = json.loads(process.stdout.readline())
        control = ControlPort(ports["control"])
        control.open()
        yield ports, control
    finally:
        if control is not None:
            control.close()
        process.terminate()
        process.wait(10)
        process.stdout.close()


def written(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)
