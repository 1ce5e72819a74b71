"""One writer for each active job."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from bench.records.lock import JobHeld, JobLock

_HOLD = """
import sys
from pathlib import Path
from bench.records.lock import JobLock
with JobLock(Path(sys.argv[1]), "J-1", "wind"):
    print("held", flush=True)
    sys.stdin.read()
"""


def test_whoever_comes_second_is_told_who_holds_it(tmp_path: Path) -> None:
    with (
        JobLock(tmp_path, "J-1", "wind"),
        pytest.raises(JobHeld, match=r"job J-1 is held by process \d+ .turnproof wind"),
    ):
        JobLock(tmp_path, "J-1", "test").__enter__()


def test_another_job_is_free(tmp_path: Path) -> None:
    with JobLock(tmp_path, "J-1", "wind"), JobLock(tmp_path, "J-2", "wind"):
        pass


def test_a_killed_holder_holds_nothing(tmp_path: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", _HOLD, str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    with pytest.raises(JobHeld, match=str(holder.pid)):
        JobLock(tmp_path, "J-1", "test").__enter__()
    holder.kill()
    holder.communicate()
    with JobLock(tmp_path, "J-1", "test"):
        pass
