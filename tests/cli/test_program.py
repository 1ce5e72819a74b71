"""`turnproof program` writes a winding program, and says what it is for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from bench.workshop.winder import load_winder
from tests.cli.conftest import Ended
from tests.workshop.virtual_winder import wind

JOB = str(example_job("coastal-receiver"))


def test_the_file_winds_the_job(run: Callable[..., Ended], tmp_path: Path) -> None:
    out = tmp_path / "p.ngc"
    done = run("program", JOB, "--winder", "generic", "--out", str(out))
    assert done.status == 0, done.error
    assert done.out.startswith("2250 turns, ")
    assert "untested on hardware" in done.out
    assert "foot switch" in done.out
    wound = wind(out.read_text(encoding="ascii"), load_winder("generic")).windings
    assert [round(one.turns) for one in wound] == [662, 1554, 15, 19]


def test_one_winding_of_it(run: Callable[..., Ended], tmp_path: Path) -> None:
    out = tmp_path / "p.ngc"
    assert run("program", JOB, "--winder", "two-linear", "--out", str(out), "--winding", "heater").status == 0
    wound = wind(out.read_text(encoding="ascii"), load_winder("two-linear")).windings
    assert [round(one.turns) for one in wound] == [19]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--winder", "generic"], "--out"),
        (["--winder", "genric", "--out", "p.ngc"], "expected one of generic, two-linear, or a profile's file"),
        (["--winder", "mine.toml", "--out", "p.ngc"], "mine.toml: no such file"),
        (["--winder", "generic", "--out", "p.ngc", "--winding", "hearter"], "expected one of primary, ht"),
        (["--winder", "generic", "--out", "nowhere/p.ngc"], "nowhere/p.ngc: can't be written"),
    ],
)
def test_what_is_wrong_is_one_line(
    run: Callable[..., Ended], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("program", JOB, *arguments)
    assert done.status == 3
    assert told in done.error
    assert len(done.error.splitlines()) == 1
