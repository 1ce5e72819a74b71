"""The log of a meter's line that `read` keeps is a meter to `read` again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ended
from tests.drivers.thirty.scripted_bench import Bench

Run = Callable[..., Ended]
COMMAND = ("voltage_ac", "--range", "6.3 V", "--samples", "2", "--json")


@pytest.fixture
def log(run: Run, tmp_path: Path) -> tuple[Path, str]:
    """A log, and what the command wrote while it was kept."""
    bench = Bench(tmp_path)
    file = tmp_path / "wire.jsonl"
    ended = run("read", f"scpi@{bench.plug().device}", *COMMAND, "--wire-log", str(file))
    bench.close()
    assert ended.status == 0, ended.error
    return file, ended.out


def values(out: str) -> list[float]:
    return [json.loads(line)["value"] for line in out.splitlines()]


def test_the_log_holds_both_directions_with_times(log: tuple[Path, str]):
    entries = [json.loads(line) for line in log[0].read_text().splitlines()]
    assert {"text": "READ?\n", "dir": "out"}.items() <= entries[-6].items() | entries[-7].items() | entries[-8].items()
    assert {entry["dir"] for entry in entries if "dir" in entry} == {"in", "out"}
    assert all(isinstance(entry["t"], float | int) for entry in entries)


def test_the_log_gives_the_same_readings_again(run: Run, log: tuple[Path, str]):
    again = run("read", f"scpi@replay://{log[0]}", *COMMAND)
    assert again.status == 0, again.error
    assert values(again.out) == values(log[1])
    assert len(values(again.out)) == 2


def test_a_damaged_log_is_one_line_and_trouble_of_the_instrument(run: Run, log: tuple[Path, str]):
    lines = log[0].read_text().splitlines(keepends=True)
    lines[7] = lines[7][:12] + "\n"
    log[0].write_text("".join(lines))
    ended = run("read", f"scpi@replay://{log[0]}", *COMMAND)
    assert (ended.status, ended.out) == (4, "")
    assert ended.error.count("\n") == 1
    assert "line 8: not an entry of a wire log" in ended.error
