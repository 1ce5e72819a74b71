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


def test_the_same_again_is_a_copy_and_a_change_needs_a_reason(run: Run, head: str, tmp_path: Path) -> None:
    first, again, second = (str(tmp_path / name) for name in ("1.html", "again.html", "2.html"))
    assert "1.html: written: certificate 1, given " in run("record", "certificate", NUMBER, first).out
    copied = run("record", "certificate", NUMBER, again)
    assert "a copy of certificate 1" in copied.out
    assert Path(again).read_bytes() == Path(first).read_bytes()
    with Store(store_path()) as store:
        store.append(NUMBER, Kind.NOTE, {"text": "sleeved anew"})
    refused = run("record", "certificate", NUMBER, second)
    assert (refused.status, Path(second).exists()) == (3, False)
    assert "--because REASON: the certificate of " in refused.error
    assert "sleeved anew" in refused.error
    assert len(refused.error.strip().splitlines()) == 1
    assert run("record", "certificate", NUMBER, second, "--because", "12 V").status == 3
    amended = run("record", "certificate", NUMBER, second, "--because", "a lead was sleeved anew")
    assert "certificate 2, given" in amended.out
    assert "amendment 1 to the certificate of" in amended.out
    shown = run("record", NUMBER).out
    assert "certificate" in shown


def test_another_test_with_a_certificate_wants_its_reason_before_it_begins(run: Run, head: str, tmp_path: Path) -> None:
    job = str(example_job("coastal-receiver"))
    run("record", "certificate", NUMBER, str(tmp_path / "1.html"))
    for given, told in (((), "--because REASON: a certificate was given before"), (("--because", "x"), "in words")):
        ended = run("test", job, "--meter", "hand", "--certificate", str(tmp_path / "2.html"), *given)
        assert (ended.status, told in ended.error, ended.out) == (3, True, "")
    alone = run("test", job, "--meter", "hand", "--because", "a fall")
    assert (alone.status, "--because: expected with --certificate" in alone.error) == (3, True)
    with Store(store_path()) as store:
        assert not store.entries(NUMBER, Kind.TEST_BEGUN)


def test_one_that_was_given_before_is_had_again_by_its_number(run: Run, head: str, tmp_path: Path) -> None:
    first, second = (tmp_path / name for name in ("1.html", "2.html"))
    run("record", "certificate", NUMBER, str(first))
    with Store(store_path()) as store:
        store.append(NUMBER, Kind.NOTE, {"text": "sleeved anew"})
    run("record", "certificate", NUMBER, str(second), "--because", "a lead was sleeved anew")
    old = tmp_path / "old.html"
    assert run("record", "certificate", NUMBER, str(old), "--number", "1").status == 0
    assert old.read_bytes() == first.read_bytes() != second.read_bytes()
    none = run("record", "certificate", NUMBER, str(tmp_path / "3.pdf"), "--number", "3")
    assert (none.status, "expected 1 as .html, 2 as .html" in none.error) == (3, True)


def test_a_name_that_is_mended_in_the_job_file_amends_it(run: Run, head: str, tmp_path: Path) -> None:
    run("record", "certificate", NUMBER, str(tmp_path / "1.html"))
    job = tmp_path / "job.toml"
    text = example_job("coastal-receiver").read_text(encoding="utf-8")
    job.write_text(text.replace("Lighthouse museum", "Lightship museum"), encoding="utf-8")
    mended = run("record", "certificate", str(job), str(tmp_path / "2.html"), "--because", "the owner was misspelt")
    assert mended.status == 0, mended.error
    assert "Lightship museum, upper gallery” in place of" in (tmp_path / "2.html").read_text(encoding="utf-8")
    with Store(store_path()) as store:
        assert store.last(NUMBER, Kind.JOB_FILE).body["text"] == job.read_text(encoding="utf-8")  # type: ignore[union-attr]
