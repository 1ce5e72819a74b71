"""Tables of the record: read back by Python's own csv, inert in a spreadsheet, described by CSV on the Web."""

from __future__ import annotations

import csv
import io
import json
import locale
import math
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.records.entry import Kind
from bench.records.exchange.count_rows import COUNTS
from bench.records.exchange.inert_cell import inert, original
from bench.records.exchange.reading_rows import READINGS, of_test
from bench.records.exchange.survey_rows import SURVEY
from bench.records.exchange.table import Form, Table, csv_text, metadata
from bench.records.store import Store
from tests.records.exchange.kept import NUMBER, keep_whole_job

HOSTILE = [
    "=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1", '"=1', "'=1", "''=1", "＝1", "－1",
    "a;=cmd|' /C calc'!A0;b", 'a;"=HYPERLINK(1)"', "a\t=1", "a\n=1", "plain", "", "Ω, 5 % \"quoted\"", "x'=1", ";'a",
]  # fmt: skip


@pytest.fixture
def store(tmp_path: Path) -> Store:
    made = Store(tmp_path / "r.sqlite")
    keep_whole_job(made, tmp_path)
    return made


def read_back(store: Store, table: Table) -> list[dict[str, str]]:
    text = csv_text(table, table.rows(NUMBER, store.entries(NUMBER)))
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_each_reading_and_each_step_is_a_row_with_its_unit(store: Store) -> None:
    rows = read_back(store, READINGS)
    kinds = [row["what"] for row in rows]
    assert kinds.count("reading") == len(store.entries(NUMBER, Kind.READING))
    assert kinds.count("answer") == len(store.entries(NUMBER, Kind.ANSWER))
    result = store.last(NUMBER, Kind.RESULT)
    assert result is not None
    steps = {row["step"]: row for row in rows if row["what"] == "step"}
    assert len(steps) == len(result.body["steps"])
    for body in result.body["steps"]:
        row = steps[body["id"]]
        assert row["unit"] == body["unit"]
        assert row["verdict"] == body["verdict"]
        for column, key in (("value", "measured"), ("lower", "lower"), ("upper", "upper"), ("probability",) * 2):
            assert (float(row[column]) if row[column] else None) == body[key]
        if body["measured"] is not None:
            assert float(row["expanded_uncertainty"]) == body["uncertainty"]
            assert float(row["k"]) == 2.0
    assert [row["verdict"] for row in rows if row["what"] == "unit"] == [result.body["verdict"]]


def test_a_reading_names_its_instrument_and_its_doubt(store: Store) -> None:
    row = next(row for row in read_back(store, READINGS) if row["quantity"] == "resistance" and row["value"])
    kept = next(one for one in store.entries(NUMBER, Kind.READING) if str(one.seq) == row["entry"]).body
    u = math.sqrt(sum((one["u"] * one["sensitivity"]) ** 2 for one in kept["components"]))
    assert float(row["expanded_uncertainty"]) == pytest.approx(2 * u, rel=1e-12)
    assert (row["instrument"], row["serial"], row["unit"]) == ("bench meter", "0417", "ohm")
    assert row["winding"] in row["step"]
    at = datetime.fromisoformat(row["time"])
    assert row["time"].endswith("Z")
    assert at == datetime.fromisoformat(kept["at"])


def test_tests_are_told_apart(store: Store) -> None:
    store.append(NUMBER, Kind.TEST_BEGUN, {"procedure": "after-varnish"})
    store.append(NUMBER, Kind.ANSWER, {"step": "start", "quantity": "noticed", "text": "none"})
    rows = list(READINGS.rows(NUMBER, store.entries(NUMBER)))
    assert [row["raw"] for row in of_test(rows, 2)] == ["none"]
    assert len(list(of_test(rows, 1))) == len(rows) - 1


def test_counts_and_survey_have_tables_of_their_own(store: Store) -> None:
    counts = read_back(store, COUNTS)
    done = {row["winding"]: float(row["turns"]) for row in counts if row["what"] == "done"}
    assert done["primary"] == 662.0
    assert {row["way"] for row in counts} == {"on", "off"}
    assert {row["unit"] for row in counts} == {"turns"}
    survey = read_back(store, SURVEY)
    read = {(row["part"], row["quantity"]): (float(row["value"]), row["unit"], row["raw"]) for row in survey}
    assert read["resistance", "resistance"] == (12.4, "ohm", "12.4 ohm")
    assert read["resistance", "temperature"] == (pytest.approx(294.15), "K", "21 degC")
    assert read["stripped", "turns"] == (338.0, "turns", "338.0")


@pytest.mark.parametrize("text", HOSTILE)
def test_what_a_person_typed_comes_back_and_is_no_formula_on_the_way(store: Store, text: str) -> None:
    store.append(NUMBER, Kind.ANSWER, {"step": "start", "quantity": "noticed", "text": text})
    store.append(NUMBER, Kind.RESULT, {"verdict": "accepted", "steps": [], "findings": [], "not_done": []})
    whole = csv_text(READINGS, READINGS.rows(NUMBER, store.entries(NUMBER)))
    row = next(r for r in csv.DictReader(io.StringIO(whole, newline=""), strict=True) if r["entry"] == _last(store))
    assert original(row["raw"]) == text
    for delimiter in (",", ";", "\t"):
        for cell in _cells(whole, delimiter):
            assert not cell.lstrip(' "\t\r\n').startswith(("=", "+", "@", "＝", "＋", "－", "＠"))
            if cell.lstrip(' "\t\r\n').startswith("-"):
                float(cell)  # a number of ours, and no text


def _last(store: Store) -> str:
    return str(store.entries(NUMBER, Kind.ANSWER)[-1].seq)


def _cells(text: str, delimiter: str) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter) for cell in row]


@given(
    st.text(alphabet=st.one_of(st.sampled_from("=+-@'\";\t\r\n a1＝"), st.characters(exclude_categories=["C", "Z"])))
)
def test_whatever_is_typed_comes_back(text: str) -> None:
    cell = inert(text)
    assert original(cell) == text
    for place in _begins(cell):
        assert not cell[place:].lstrip(' "\t\r\n').startswith(("=", "+", "-", "@", "＝"))


def _begins(cell: str) -> list[int]:
    return [0, *(place + 1 for place, one in enumerate(cell) if one in ";\t\r\n")]


def test_controls_and_marks_of_direction_are_shown_as_replaced() -> None:
    assert inert("a\x1b]52;c\x07\x9b\u202eb\ud800") == "a�]52;c���b�"


def test_numbers_have_a_point_whatever_the_locale(store: Store) -> None:
    before = locale.setlocale(locale.LC_ALL)
    wanted = next((one for one in ("de_DE.UTF-8", "fr_FR.UTF-8") if _may(one)), None)
    try:
        rows = read_back(store, READINGS)
    finally:
        locale.setlocale(locale.LC_ALL, before)
    assert any("." in row["value"] for row in rows), wanted
    assert not any("," in row["value"] for row in rows)


def _may(name: str) -> bool:
    try:
        locale.setlocale(locale.LC_ALL, name)
    except locale.Error:
        return False
    return True


@pytest.mark.parametrize("table", [READINGS, COUNTS, SURVEY])
def test_the_description_says_of_each_column_what_it_holds(store: Store, table: Table) -> None:
    told = json.loads(metadata(table, "mine.csv"))
    assert told["url"] == "mine.csv"
    columns = told["tableSchema"]["columns"]
    text = csv_text(table, table.rows(NUMBER, store.entries(NUMBER)))
    lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert [one["name"] for one in columns] == lines[0]
    assert all(one["dc:description"].endswith(".") for one in columns)
    named = [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]
    keys = [tuple(row[key] for key in told["tableSchema"]["primaryKey"]) for row in named]
    assert len(set(keys)) == len(keys)
    for column in columns:
        cells = [row[column["name"]] for row in named]
        assert all(cells) or not column["required"]
        for cell in filter(None, cells):
            _must_be(column["datatype"], cell)


def _must_be(datatype: str, cell: str) -> None:
    match datatype:
        case Form.NUMBER:
            assert math.isfinite(float(cell))
        case Form.WHOLE:
            assert cell == str(int(cell))
        case Form.TIME:
            assert datetime.fromisoformat(cell).tzinfo is not None
        case Form.TRUTH:
            assert cell in ("true", "false")


def test_every_line_ends_with_cr_lf_and_none_is_a_comment(store: Store) -> None:
    text = csv_text(SURVEY, SURVEY.rows(NUMBER, store.entries(NUMBER)))
    assert text.startswith("job,entry,time,")
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n")
