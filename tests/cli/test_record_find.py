"""`turnproof record list`, `compare`, `trend` and `show --test`, as they are typed."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from bench.records.home import store_path
from bench.records.store import Store
from tests.cli.conftest import Ended
from tests.records.many import fill
from tests.sitting.dry_hand import keep_test

JOB = "TP-0107"
Run = Callable[..., Ended]


@pytest.fixture
def some(home: Path) -> None:
    path = store_path()
    fill(path, 60)


def test_jobs_are_listed_and_narrowed_down(run: Run, some: None) -> None:
    rows = run("record").out.splitlines()
    assert rows[0].split() == ["number", "equipment", "last", "done", "verdict", "last", "kept,", "UTC"]
    assert rows[-1] == "these are the newest 50; --limit shows more"
    assert len(rows) == 52
    listed = json.loads(run("record", "list", "--verdict", "rejected", "--json").out)
    assert listed["schema"] == 1
    assert {one["verdict"] for one in listed["found"]} == {"rejected"}
    assert listed["jobs"] == [one["job"] for one in listed["found"]]
    assert run("record", "list", "--equipment", "nowhere").status == 2
    assert len(json.loads(run("record", "--json").out)["jobs"]) == 60


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["list", "--verdict", "acepted"], "--verdict 'acepted': did you mean 'accepted'?"),
        (["list", "--verdict", "blue"], "--verdict 'blue': expected one of accepted, rejected"),
        (["list", "--fault", "core gape"], "--fault 'core gape': did you mean 'core_gap'?"),
        (["list", "--since", "yesterday"], "--since 'yesterday': expected a day in UTC such as 2027-03-14"),
        (["list", "--since", "2027-02-30"], "--since '2027-02-30': expected a day in UTC"),
        (["list", "--since", "2027", "--until", "2026"], "nothing lies between"),
        (["compare", "nobody"], "nobody: no record, expected one of"),
        (["compare", "U-000001:7", "U-000002"], "--test 7: U-000001 has 1 in its record"),
        (["trend", "nothing"], "'nothing': no instrument in the record"),
        (["show", "U-000001", "--test", "2"], "--test 2: U-000001 has 1 in its record, expected 1 to 1"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_told_in_one_line(run: Run, some: None, arguments: list[str], told: str) -> None:
    ended = run("record", *arguments)
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.strip().splitlines()) == 1


def test_a_month_holds_its_last_day(run: Run, some: None) -> None:
    whole = json.loads(run("record", "list", "--since", "2016-01", "--until", "2016-01", "--limit", "99", "--json").out)
    assert len(whole["jobs"]) == 60
    day = json.loads(run("record", "list", "--since", "2016-01-05", "--until", "2016-01-05", "--json").out)
    assert {one["last_at"][:10] for one in day["found"]} == {"2016-01-05"}


def test_two_tests_compared_and_one_shown(run: Run, home: Path) -> None:
    with Store(store_path()) as store:
        keep_test(store)
        keep_test(store, anew=True)
    document = json.loads(run("record", "compare", f"{JOB}:1", f"{JOB}:2", "--json").out)
    assert [one["test"] for one in document["units"]] == [1, 2]
    assert not any(one["significant"] for one in document["steps"])
    shown = json.loads(run("record", "show", JOB, "--test", "2", "--json").out)["entries"]
    assert shown[0]["kind"] == "test begun"
    assert shown[-1]["kind"] == "result"
    rows = list(csv.DictReader(io.StringIO(run("record", "trend", "Y-17", "--csv").out)))
    assert {row["job"] for row in rows} == {JOB}
    assert float(rows[0]["accuracy_percent"]) > 0


@pytest.mark.parametrize(
    "asked", [("judge", JOB), ("compare", JOB), ("compare", JOB, JOB), ("show", JOB, "--test", "1")]
)
def test_of_a_job_that_was_never_tested_it_is_said(run: Run, home: Path, asked: tuple[str, ...]) -> None:
    assert run("survey", str(example_job("coastal-receiver")), "--note", "as it came").status == 0
    ended = run("record", *asked)
    assert ended.status == 3
    assert re.match(f"{JOB}: no (finished )?test in its record yet, expected one ", ended.error)
    assert len(ended.error.splitlines()) == 1


def test_nothing_kept_yet_is_said(run: Run, home: Path) -> None:
    assert run("record").out == "no records yet\n"
    assert run("record", "trend", "desk").status == 3
    assert not store_path().exists()
