"""`turnproof record`, `record verify` and `record certificate`, as they are typed."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from bench.job.profiles import example_job
from bench.records.entry import Kind
from bench.records.home import store_path
from bench.records.store import Store
from tests.acceptance.ideal_bench import run_ideal
from tests.cli.conftest import Ended

Run = Callable[..., Ended]
NUMBER = "TP-0107"


@pytest.fixture
def head(home: object) -> str:
    """Of a tested unit's result; a note was kept after it."""
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    with Store(store_path()) as store:
        store.append(NUMBER, Kind.JOB_FILE, {"file": "job.toml", "text": text})
        result = store.append(NUMBER, Kind.RESULT, run_ideal()[0].as_json())
        store.append(NUMBER, Kind.NOTE, {"text": "varnish on Monday"})
        store.append("another", Kind.NOTE, {"text": "not tested yet"})
    return result.hash


def _with_a_database_tool(statement: str) -> None:
    connection = sqlite3.connect(store_path())
    for guard in ("entry_no_update", "entry_no_delete"):
        connection.execute(f"DROP TRIGGER {guard}")
    connection.execute(statement)
    connection.commit()
    connection.close()


def test_without_a_job_every_record_is_listed_and_verified(run: Run, head: str) -> None:
    listed = run("record").out.splitlines()
    assert [line.split()[0] for line in listed] == ["number", "another", NUMBER]
    assert json.loads(run("record", "--json").out)["jobs"] == ["another", NUMBER]
    verified = run("record", "verify")
    assert (verified.status, verified.out.count("chain whole")) == (0, 2)


def test_a_record_that_still_holds_what_the_certificate_names_is_whole(run: Run, head: str) -> None:
    verified = run("record", "verify", NUMBER, "--head", head.upper())
    assert verified.status == 0
    assert "3 entries, chain whole" in verified.out


def test_a_cut_tail_is_a_whole_chain_until_it_is_asked_for_its_head(run: Run, head: str) -> None:
    _with_a_database_tool(f"DELETE FROM entry WHERE job = '{NUMBER}' AND seq >= 2")
    assert run("record", "verify", NUMBER).status == 0
    verified = run("record", "verify", NUMBER, "--head", head)
    assert verified.status == 1
    assert f"no entry has the hash {head}: the record was cut before it" in verified.error


def test_an_altered_entry_is_named_and_the_other_job_is_whole(run: Run, head: str) -> None:
    _with_a_database_tool(f"UPDATE entry SET kind = 'note' WHERE job = '{NUMBER}' AND seq = 2")
    verified = run("record", "verify")
    assert verified.status == 1
    assert f"{NUMBER}: entry 2 (note) was altered" in verified.error
    assert "another: 1 entries, chain whole" in verified.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["verify", "nobody"], "nobody: no record, expected one of"),
        (["verify", NUMBER, "--head", "abc"], "is no hash, expected 64 of 0 to 9 and a to f"),
        (["verify", "--head", "0" * 64], "belongs to one job, expected it named"),
        (["certificate", NUMBER, "page.doc"], "ends in '.doc', expected .pdf, or .html"),
        (["certificate", NUMBER, "page"], "ends in 'nothing', expected .pdf, or .html"),
        (["certificate", "another", "page.pdf"], "another: no finished test in the record yet"),
        (["nobody"], "nobody: no record, expected one of"),
    ],
)
def test_what_is_asked_wrongly_is_told_in_a_line(run: Run, head: str, arguments: list[str], told: str) -> None:
    ended = run("record", *arguments)
    assert ended.status == 3
    assert told in ended.error
    assert len(ended.error.strip().splitlines()) == 1


@pytest.mark.parametrize(("name", "begins"), [("c.pdf", b"%PDF-"), ("c.html", b"<!doctype html>")])
def test_a_certificate_is_written_and_not_over_one_that_is_there(
    run: Run, head: str, tmp_path: Path, name: str, begins: bytes
) -> None:
    path = tmp_path / name
    assert run("record", "certificate", NUMBER, str(path)).status == 0
    assert path.read_bytes().startswith(begins)
    path.write_bytes(b"another's")
    again = run("record", "certificate", NUMBER, str(path))
    assert (again.status, path.read_bytes()) == (3, b"another's")
    assert run("record", "certificate", NUMBER, str(path), "--over").status == 0
    assert path.read_bytes().startswith(begins)
