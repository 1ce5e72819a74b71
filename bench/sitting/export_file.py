"""The record of a job as a file for others: which form a file's name asks for, and what goes in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.records.exchange.document import Standing
    from bench.records.exchange.table import Table
    from bench.records.store import Store

__all__ = ["FORMS", "document_of", "form_of", "schema_of", "table_named", "table_of"]

FORMS = (".csv", ".json", ".zip")


def form_of(path: Path) -> str:
    """Raises BadInput for a name that ends otherwise."""
    suffix = path.suffix.lower()
    if suffix not in FORMS:
        raise BadInput(
            f"{path}: ends in {suffix or 'nothing'!r}, expected .csv for a table, .json for the whole record, or .zip "
            "for a bundle with pictures that opens on another machine"
        )
    return suffix


def table_named(*, counts: bool, survey: bool) -> Table:
    """Raises BadInput for both."""
    from bench.records.exchange.count_rows import COUNTS
    from bench.records.exchange.reading_rows import READINGS
    from bench.records.exchange.survey_rows import SURVEY

    if counts and survey:
        raise BadInput("--counts, --survey: expected one of them, a file holds one table")
    return COUNTS if counts else SURVEY if survey else READINGS


def table_of(store: Store, number: str, table: Table, test: int | None) -> tuple[str, int]:
    """The table as text, and how many rows it has; of one test, or of all.  Raises BadInput, RecordProblem."""
    from bench.records.exchange.reading_rows import READINGS, of_test, tests_in
    from bench.records.exchange.table import csv_text

    entries = store.entries(number)
    rows = table.rows(number, entries)
    if test is not None:
        if table is not READINGS:
            raise BadInput(f"--test {test}: belongs to readings, expected it without --counts and --survey")
        known = tests_in(entries)
        if not 1 <= test <= known:
            told = f"from 1 to {known}" if known else "none: no test is in the record"
            raise BadInput(f"--test {test}: {number} has no such test, expected {told}")
        rows = of_test(rows, test)
    listed = list(rows)
    return csv_text(table, listed), len(listed)


def document_of(store: Store, number: str) -> tuple[Iterator[bytes], Standing]:
    """The whole record, piece by piece, and how it stood then; raises RecordProblem."""
    from bench.records.exchange.document import document_lines, standing

    now = standing(store, number)
    return (line.encode() for line in document_lines(store, now)), now


def schema_of(form: str, table: Table, file: Path | None) -> str:
    """What describes a file of that form, `csv` or `json`."""
    from bench.records.exchange.document_schema import document_schema
    from bench.records.exchange.table import metadata

    if form == "json":
        return document_schema()
    return metadata(table, file.name if file is not None else f"{table.name}.csv")
