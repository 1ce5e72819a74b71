"""The user's folders may be unwritable or hold something else: one line, and no trace."""

from __future__ import annotations

import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ended
from tests.cli.running import JOB

Run = Callable[..., Ended]


@pytest.fixture
def unwritable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A home that can't be made, for root neither: it lies under a file."""
    (tmp_path / "file").write_text("not a folder")
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "file" / "home"))
    return tmp_path / "file" / "home"


def test_a_job_that_can_not_be_held_is_one_line(run: Run, unwritable: Path) -> None:
    ended = run("wind", JOB, "heater", "--counter", "hand", typed="19\n")
    assert ended.status == 4
    assert ended.error == f"{unwritable}/locks/TP-0107.lock: the job can't be held: Not a directory\n"


def test_a_record_that_can_not_be_opened_is_one_line(run: Run, unwritable: Path) -> None:
    ended = run("record")
    assert ended.status == 4
    assert ended.error.startswith(f"{unwritable}/data/records.sqlite: the record can't be opened: ")
    assert len(ended.error.splitlines()) == 1


def test_reading_needs_no_folder_of_its_own(run: Run, unwritable: Path) -> None:
    ended = run("read", "hand", "voltage_ac", typed="230.4\n")
    assert ended.status == 0
    assert ended.out.startswith("voltage_ac  230.4")


def test_a_log_that_can_not_be_written_is_kept_quiet_about(run: Run, home: Path) -> None:
    (home / "log" / "turnproof.log").mkdir(parents=True)
    ended = run("-v", "wind", JOB, "heater", "--counter", "hall@/dev/ttyNOTHERE")
    assert ended.status == 4
    assert len(ended.error.splitlines()) == 1
    assert "Traceback" not in ended.error


def test_a_record_that_is_a_shopping_list_is_one_line(run: Run, home: Path) -> None:
    (home / "data").mkdir(parents=True)
    (home / "data" / "records.sqlite").write_text("milk, bread, 0.4 mm wire, lacquer" * 50)
    ended = run("wind", JOB, "heater", "--counter", "hand", typed="19\n")
    assert ended.status == 4
    assert "not a database" in ended.error
    assert len(ended.error.splitlines()) == 1


def test_a_disk_that_fills_up_ends_the_winding_in_one_line() -> None:
    # 256 kB a file are what the "disk" holds: the record is made, and full after some layers
    layers = "1\n-1\n" * 800
    wind = shlex.join([sys.executable, "-m", "bench", "wind", str(JOB), "heater", "--counter", "hand"])
    done = subprocess.run(
        ["bash", "-c", f"ulimit -f 256; exec {wind}"],
        input=layers, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 4
    assert "records.sqlite: not stored: " in done.stderr.splitlines()[-1]
    assert "Traceback" not in done.stderr
