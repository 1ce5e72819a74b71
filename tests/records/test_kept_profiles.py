"""What a judgement rests on is in the record: instruments with their accuracy, limits, steels, profiles, bench file."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.job.bench_file import BenchFile, MeterEntry
from bench.job.profiles import KeptTables, in_place, known, load_table, table_text
from bench.records.entry import Kind
from bench.records.instrument_entry import accuracy_words, keep_hand_meter
from bench.records.kept_profiles import JUDGED_BY, Content, contents_in, keep_contents, keep_job_file
from bench.records.store import Store
from tests.sitting.dry_hand import BENCH, keep_test

JOB = "TP-0107"


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "records.sqlite")


def test_contents_are_kept_once_and_again_when_they_changed(store: Store) -> None:
    first, other = Content("steels", "a", "loss = 1"), Content("steels", "a", "loss = 2")
    keep_contents(store, JOB, [first, first])
    keep_contents(store, JOB, [first])
    assert len(store.entries(JOB, Kind.PROFILES)) == 1
    keep_contents(store, JOB, [first, other])
    assert len(store.entries(JOB, Kind.PROFILES)) == 2
    assert contents_in(store, JOB) == {first.sha256: first, other.sha256: other}


def test_a_job_file_is_kept_whenever_it_changed(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    for text in ("one", "one", "two", "one"):
        path.write_text(text, encoding="utf-8")
        keep_job_file(store, JOB, path)
    assert [one.body["text"] for one in store.entries(JOB, Kind.JOB_FILE)] == ["one", "two", "one"]


def test_a_test_keeps_all_that_it_is_judged_by(store: Store) -> None:
    keep_test(store)
    begun = store.entries(JOB, Kind.TEST_BEGUN)[0].body[JUDGED_BY]
    contents = contents_in(store, JOB)
    assert contents[begun["bench"]].text == BENCH
    assert contents[begun["rules"]].table == load_table("limits", "small-mains")
    assert contents[begun["procedure"]].table["name"] == "before varnish"
    assert set(begun["tables"]) >= {"steels/m400-50a", "laminations/scrapless-ei", "wires/iec", "limits/small-mains"}
    assert all(contents[digest].text == table_text(*name.split("/")) for name, digest in begun["tables"].items())


def test_an_instrument_is_kept_with_who_it_is_its_calibration_and_its_accuracy(store: Store) -> None:
    keep_test(store)
    body = store.entries(JOB, Kind.INSTRUMENT)[0].body
    assert (body["what"], body["name"], body["serial"], body["certificate"]) == ("meter", "yellow", "Y-17", "K 4711")
    assert (body["calibrated"], body["calibration_due"]) == ("2026-01-12", "2027-01")
    assert body["accuracy"]["voltage_ac"] == [
        {"of_reading": 0.0005, "of_range": 0.0, "counts": 1.0, "words": "0.05 % + 1 count", "from": "bench file"}
    ]
    assert body["accuracy"]["frequency"][0]["from"] == "a usual hand-held meter"


def test_a_hand_meter_of_a_survey_is_kept_too(store: Store) -> None:
    keep_hand_meter(store, JOB, MeterEntry(name="old", use="hand"), "survey")
    body = store.entries(JOB, Kind.INSTRUMENT)[0].body
    assert body["during"] == "survey"
    assert body["accuracy"]["resistance"][0]["words"] == "0.8 % + 3 counts"


def test_words_of_an_accuracy_are_read_back_as_the_same() -> None:
    words = accuracy_words(0.0006, 0.0003, 0)
    bench = {"name": "m", "use": "scpi@COM5", "calibration": [{"quantity": "voltage_ac", "accuracy": words}]}
    entry = BenchFile.model_validate({"schema": 1, "meter": [bench]}).meter[0]
    assert (entry.calibration[0].accuracy.of_reading, entry.calibration[0].accuracy.of_range) == (0.0006, 0.0003)


def test_kept_tables_stand_before_the_shipped_ones_or_only_for_those_that_are_gone() -> None:
    texts = {("steels", "m400-50a"): "name = 'then'", ("steels", "gone"): "name = 'gone'"}
    with in_place(KeptTables(texts, before_shipped=True)) as _:
        assert load_table("steels", "m400-50a") == {"name": "then"}
    today = KeptTables(texts, before_shipped=False)
    with in_place(today):
        assert load_table("steels", "m400-50a")["name"] != "then"
        assert load_table("steels", "gone") == {"name": "gone"}
        assert "gone" in known("steels")
    assert today.stood_in == {("steels", "gone")}
    assert "gone" not in known("steels")
