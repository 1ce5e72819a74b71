"""A table of the record as a CSV file (RFC 4180), and what is said of its columns (CSV on the Web, W3C)."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from bench.records.entry import Entry
from bench.records.exchange.inert_cell import RULE, inert

__all__ = ["Cell", "Column", "Form", "Row", "Table", "csv_text", "metadata", "moment", "number"]

Cell = str | float | int | bool | None
Row = Mapping[str, Cell]


class Form(StrEnum):
    """Datatypes of CSV on the Web."""

    TEXT = "string"
    NUMBER = "double"
    WHOLE = "integer"
    TIME = "dateTimeStamp"
    TRUTH = "boolean"


@dataclass(frozen=True)
class Column:
    """unit: of all its numbers, empty where there is none or where it stands in the column `unit`."""

    name: str
    form: Form
    about: str
    unit: str = ""
    always: bool = False


@dataclass(frozen=True)
class Table:
    """rows: of a job's number and its entries in their order;  key: columns that no two rows share."""

    name: str
    about: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    rows: Callable[[str, Iterable[Entry]], Iterator[Row]]


def csv_text(table: Table, rows: Iterable[Row]) -> str:
    """Header and rows, lines ended by CR LF, a point in the numbers whatever the locale; to be written as UTF-8."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n").writerow
    write([column.name for column in table.columns])
    for row in rows:
        write([_cell(row.get(column.name), column.form) for column in table.columns])
    return out.getvalue()


def metadata(table: Table, file: str) -> str:
    """JSON that goes beside the table `file` as FILE-metadata.json: Metadata Vocabulary for Tabular Data, W3C, 2015.

    Where a number's unit is the same in the whole column it is `schema:unitText`, in UCUM-like letters as the record
    has them (V, A, ohm, Hz, K, m, W, T, s, turns); else the column `unit` of the same row has it.
    """
    document = {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "url": file,
        "dc:title": table.about,
        "rdfs:comment": RULE,
        "dialect": {"encoding": "utf-8", "delimiter": ",", "quoteChar": '"', "doubleQuote": True, "header": True,
                    "lineTerminators": ["\r\n"]},
        "tableSchema": {"columns": [_described(column) for column in table.columns], "primaryKey": list(table.key)},
    }  # fmt: skip
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def moment(at: Any) -> str:
    """A time of the record in UTC, ISO 8601 with Z; empty for what is none."""
    try:
        told = datetime.fromisoformat(str(at))
        return (told if told.tzinfo else told.replace(tzinfo=UTC)).astimezone(UTC).isoformat().replace("+00:00", "Z")
    except (ValueError, OverflowError):
        return ""


def number(value: Any) -> float | None:
    """A number of an entry; None for what is none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value) if math.isfinite(value) else None
    except OverflowError:
        return None


def _described(column: Column) -> dict[str, Any]:
    told: dict[str, Any] = {"name": column.name, "titles": column.name, "dc:description": column.about}
    if column.unit:
        told["schema:unitText"] = column.unit
    return {**told, "datatype": str(column.form), "required": column.always}


def _cell(value: Cell, form: Form) -> str:
    match form:
        case _ if value is None:
            return ""
        case Form.TRUTH:
            return "true" if value else "false"
        case Form.NUMBER | Form.WHOLE:
            return repr(value)
        case Form.TIME:
            return str(value)
    return inert(str(value))
