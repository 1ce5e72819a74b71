"""`turnproof sheet` prints the sheet or writes it, and its status tells whether it can be wound like that."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.cli import _COMMANDS
from bench.job.profiles import example_job
from tests.cli.conftest import Ended

JOB = example_job("coastal-receiver")


def _changed(tmp_path: Path, old: str, new: str) -> str:
    text = JOB.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "job.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return str(path)


def test_the_text_goes_to_stdout(run: Callable[..., Ended]) -> None:
    done = run("sheet", str(JOB))
    assert done.status == 0, done.error
    assert done.out.startswith("Winding sheet TP-0107: Mains transformer of a coastal receiver\n")
    assert "3  ht: 1554 turns, secondary" in done.out


def test_commands_that_the_sheet_names_are_commands(run: Callable[..., Ended]) -> None:
    named = set(re.findall(r"turnproof (\w+)", run("sheet", str(JOB)).out))
    assert named == {"block", "wind", "test"}
    assert named <= set(_COMMANDS)


def test_files_are_written_instead(run: Callable[..., Ended], tmp_path: Path) -> None:
    page, table, drawing, paper = (tmp_path / f"a.{form}" for form in ("html", "csv", "svg", "pdf"))
    files = ("--html", str(page), "--pdf", str(paper), "--csv", str(table), "--section", str(drawing))
    done = run("sheet", str(JOB), *files)
    assert done.status == 0, done.error
    assert done.out.splitlines() == [f"{one}: written" for one in (page, paper, table, drawing)]
    assert paper.read_bytes().startswith(b"%PDF-")
    assert page.read_text(encoding="utf-8").lstrip().startswith("<!doctype html>")
    assert table.read_bytes().startswith(b"winding,layer,turns,total,")
    assert ET.parse(drawing).getroot().tag.endswith("svg")


def test_json_is_one_document(run: Callable[..., Ended], tmp_path: Path) -> None:
    done = run("sheet", str(JOB), "--json", "--csv", str(tmp_path / "a.csv"))
    document = json.loads(done.out)
    assert (document["schema"], document["job"], document["fits"]) == (1, "TP-0107", True)
    assert [one["name"] for one in document["steps"]] == ["primary", "screen", "ht", "rectifier", "heater"]


@pytest.mark.parametrize("files", [(), ("--json",)], ids=["text", "json"])
def test_what_does_not_fit_ends_with_2_and_the_millimetres(
    run: Callable[..., Ended], tmp_path: Path, files: tuple[str, ...]
) -> None:
    done = run(
        "sheet", _changed(tmp_path, 'lamination = "EI 96"', 'lamination = "EI 96"\nwindow_width = "12 mm"'), *files
    )
    assert done.status == 2
    assert "0.8433 mm too much" in done.error


def test_what_cannot_be_laid_is_one_line_and_3(run: Callable[..., Ended], tmp_path: Path) -> None:
    done = run("sheet", _changed(tmp_path, 'wire = "0.18 mm"\nrated_voltage', "rated_voltage"))
    assert done.status == 3
    assert len(done.error.splitlines()) == 1
    assert "winding.ht.wire" in done.error
    assert done.out == ""


def test_a_folder_that_is_not_there_is_one_line(run: Callable[..., Ended], tmp_path: Path) -> None:
    done = run("sheet", str(JOB), "--html", str(tmp_path / "none" / "a.html"))
    assert done.status == 3
    assert "can't be written: No such file or directory" in done.error


@pytest.mark.parametrize(
    ("option", "name"), [("--pdf", "sheet.txt"), ("--html", "sheet.pdf"), ("--section", "job.toml")]
)
def test_a_name_of_another_kind_is_refused(option: str, name: str, run: Callable[..., Ended], tmp_path: Path) -> None:
    done = run("sheet", str(JOB), option, str(tmp_path / name))
    assert done.status == 3
    assert f"{name}: expected a name that ends in ." in done.error
    assert not list(tmp_path.glob(name))
