"""`turnproof block` writes the solid and the drawing of the support block."""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from tests.cli.conftest import Ended

JOB = str(example_job("coastal-receiver"))


def test_it_writes_both_files_and_says_the_sizes(run: Callable[..., Ended], tmp_path: Path) -> None:
    stl, svg = tmp_path / "b.stl", tmp_path / "b.svg"
    done = run("block", JOB, "--stl", str(stl), "--drawing", str(svg), "--spindle", "10 mm", "--clearance", "0.3mm")
    assert done.status == 0, done.error
    assert done.out.splitlines()[:2] == [
        "block   31.7 x 44.7 x 48 mm, hole 10.3 mm",
        "cheeks  2 of 64 x 77 x 5 mm",
    ]
    assert b"TP-0107" in stl.read_bytes()[:80]
    assert "TP-0107" in "".join(ET.fromstring(svg.read_text(encoding="utf-8")).itertext())


def test_a_measured_former_is_taken(run: Callable[..., Ended], tmp_path: Path) -> None:
    done = run("block", JOB, "--drawing", str(tmp_path / "b.svg"), "--inside", "32.6 mm x 45.9 mm")
    assert done.status == 0, done.error
    assert done.out.startswith("block   32.4 x 45.7 x 48 mm")
    assert "measure yours" not in done.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "nothing to write, expected --stl FILE, --drawing FILE or both"),
        (["--drawing", "b.svg", "--spindle", "8"], "--spindle: "),
        (["--drawing", "b.svg", "--spindle", "30mm"], "a spindle of at most 25.6 mm would do"),
        (["--drawing", "b.svg", "--inside", "32mm"], "expected width x depth"),
        (["--drawing", "nowhere/b.svg"], "nowhere/b.svg: can't be written"),
    ],
)
def test_what_is_wrong_is_one_line(
    run: Callable[..., Ended], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("block", JOB, *arguments)
    assert done.status == 3
    assert told in done.error
    assert len(done.error.splitlines()) == 1


def test_without_the_geometry_library_the_drawing_still_comes(
    run: Callable[..., Ended], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "manifold3d", None)
    refused = run("block", JOB, "--stl", str(tmp_path / "b.stl"))
    assert refused.status == 3
    assert "pip install -e '.[solid]'" in refused.error
    assert len(refused.error.splitlines()) == 1
    assert run("block", JOB, "--drawing", str(tmp_path / "b.svg")).status == 0
