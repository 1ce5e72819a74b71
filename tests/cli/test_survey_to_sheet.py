"""Both example jobs from the unit as found to the sheet at the machine: stripped, surveyed, designed, laid."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from tests.cli.conftest import Ended

Run = Callable[..., Ended]


@pytest.mark.parametrize(
    ("name", "counts"),
    [
        ("coastal-receiver", {"heater": 16, "rectifier": 13, "ht": 1292, "primary": 280}),
        ("gate-opener", {"supply24": 186, "primary": 1584}),
    ],
)
def test_a_job_goes_from_survey_to_a_sheet(
    run: Run, name: str, counts: dict[str, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TURNPROOF_HOME", str(tmp_path / "home"))
    found = re.compile(r"(\[\[as_found\.winding\]\].*?)^turns = \d+\n", re.S | re.M)
    text = example_job(name).read_text(encoding="utf-8")
    while found.search(text):
        text = found.sub(r"\1", text)
    job = tmp_path / "job.toml"
    job.write_text(text.replace(", turn = 646", ""), encoding="utf-8")
    assert run("survey", str(job)).status == 2
    for winding, turns in counts.items():
        run("survey", str(job), "--strip", winding, typed=f"{turns}\ndone\n")
    told = run("survey", str(job))
    assert told.status == 0, told.out
    assert "turns per volt with" in told.out
    designed = run("design", str(job), "--search", "--write", "--strands", "2", "--json")
    assert designed.status == 0, designed.error
    turns = json.loads(designed.out)["found"]["turns"]
    sheet, rows = tmp_path / "sheet.html", tmp_path / "sheet.csv"
    laid = run("sheet", str(job), "--html", str(sheet), "--csv", str(rows))
    assert laid.status == 0, laid.error
    with rows.open(encoding="utf-8", newline="") as lines:
        layers = list(csv.DictReader(lines))
    summed: dict[str, int] = {}
    for row in (one for one in layers if one["turns"]):  # a screen has a row and no turns
        summed[row["winding"]] = summed.get(row["winding"], 0) + int(row["turns"])
    assert summed == turns
    assert all(winding in sheet.read_text(encoding="utf-8") for winding in turns)
