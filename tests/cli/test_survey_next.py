"""After a survey: what comes next, as a command to copy, and why it ended undecided."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from tests.cli.conftest import Ended
from tests.cli.running import written

Run = Callable[..., Ended]

WINDINGS = """
[[as_found.winding]]
name = "primary"
role = "primary"
nameplate_voltage = "117 V"
[[as_found.winding]]
name = "heater"
role = "secondary"
nameplate_voltage = "6.3 V"
"""
READ = """
[[as_found.volts]]
fed = "primary"
fed_voltage = "97.80 V"
winding = "heater"
voltage = "5.575 V"
"""


def job(folder: Path, found: str) -> str:
    return written(folder / "my job.toml", f'schema = 1\n[identity]\nnumber = "N-1"\n[as_found]\n{found}')


@pytest.mark.parametrize("found", ["", WINDINGS])
def test_with_nothing_read_the_reading_is_next(run: Run, tmp_path: Path, found: str) -> None:
    path = job(tmp_path, found)
    ended = run("survey", path)
    assert ended.status == 2
    assert ended.out.endswith(f"next: turnproof survey '{path}' --read\n")


def test_with_readings_the_outermost_winding_is_next_until_all_are_off(run: Run, tmp_path: Path) -> None:
    path = job(tmp_path, WINDINGS + READ)
    ended = run("survey", path)
    assert ended.out.endswith(f"next: turnproof survey '{path}' --strip heater\n")
    assert "undecided, status 2: no turns per volt yet: no winding is counted yet\n" in ended.out
    off = run("survey", path, "--strip", "heater", typed="16\ndone\n")
    assert off.out.endswith(f"next: turnproof survey '{path}' --strip primary\n")
    run("survey", path, "--strip", "primary", typed="280\ndone\n")
    ended = run("survey", path)
    assert ended.status == 0
    assert "next:" not in ended.out
    assert "status 2" not in ended.out


@pytest.mark.parametrize(
    ("found", "why"),
    [
        ("", "nothing is known of the unit yet"),
        (WINDINGS.replace('role = "primary"', ""), "no winding as found has the role primary"),
        (
            WINDINGS.replace('nameplate_voltage = "117 V"', ""),
            "neither the plate nor made_for tells the volts of primary",
        ),
        (WINDINGS + "turns = 16\n", "nothing ties what is counted to the turns of primary"),
    ],
)
def test_why_it_is_undecided_is_said_in_a_line(run: Run, tmp_path: Path, found: str, why: str) -> None:
    ended = run("survey", job(tmp_path, found))
    assert ended.status == 2
    (line,) = [line for line in ended.out.splitlines() if "status 2" in line]
    assert why in line


def test_a_miscount_is_put_right_in_the_job_file_or_by_counting(run: Run, tmp_path: Path) -> None:
    text = example_job("coastal-receiver").read_text(encoding="utf-8").replace("turns = 16\n", "turns = 18\n")
    path = written(tmp_path / "job.toml", text)
    ended = run("survey", path)
    hint = f"heater: correct turns = 18 of it in the job file, or count it: turnproof survey {path} --strip heater\n"
    assert hint in ended.out
    assert "undecided, status 2: what was read and counted does not agree, see What disagrees" in ended.out
    wrong = run("survey", path, "--strip", "heater", typed="19\ndone\n")
    assert wrong.status == 2
    assert f"type the corrected count in one go: turnproof survey {path} --strip heater --again\n" in wrong.out
    assert run("survey", path, "--strip", "heater", "--again", typed="16\ndone\n").status == 0
    settled = run("survey", path)
    assert (settled.status, "--again" in settled.out) == (0, False)
