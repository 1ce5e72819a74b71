"""The record of a job as one JSON document, from which any program can tell whether it is whole.

    {"schema": 1, "what": "record of a job", "job": "TP-0107", "program": "0.1.0", "head": "4f0c…", "entries": [
    {"seq":1,"kind":"note","at":"2026-03-01T09:30:00.123456+00:00","monotonic":12.5,"previous":"0000…","hash":"…","body":{…}},
    …
    ]}

Each entry stands on a line of its own, its body last. To verify it, for each entry in order:

1. seq counts from 1, and `previous` is the `hash` of the entry before it, 64 zeros for the first.
2. `hash` is the SHA-256, in hexadecimal, of the UTF-8 bytes of this array as JSON, with a comma and a blank between its
   elements and every character beyond ASCII as it is:

       [previous, job, seq, kind, at, monotonic, body]

   where seq is a number, and monotonic and body are *texts*: monotonic the digits as they stand in the line, and body
   all that stands between `"body":` and the last brace of the line. Quotation mark and backslash in them are escaped
   by a backslash, line feed, carriage return, tab, backspace and form feed as \\n \\r \\t \\b \\f, other characters
   below a blank as \\u and four digits, as JSON has it.
3. the last entry's hash is `head`: a record that was cut at its end is found out only by a head that was kept
   elsewhere, such as the one in the code of a certificate.

No number has to be read for that, so it holds in every language. Whoever reads a line as JSON and writes it anew must
keep numbers as they stand; the body's keys are sorted and nothing stands between its signs.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from bench.records.entry import GENESIS, Entry, canonical
from bench.records.store import Store

__all__ = [
    "SCHEMA",
    "WHAT",
    "Standing",
    "document_lines",
    "entries_in",
    "entry_line",
    "program_version",
    "standing",
]

SCHEMA = 1
WHAT = "record of a job"
_PAGE = 2_000


@dataclass(frozen=True)
class Standing:
    """How a record stands at one moment: what is kept meanwhile belongs to the next export."""

    number: str
    entries: int
    head: str


def standing(store: Store, number: str) -> Standing:
    """Raises RecordProblem."""
    entries = store.count(number)
    newest = store.after(number, entries - 1, 1)
    return Standing(number, entries, newest[0].hash if newest else GENESIS)


def entries_in(store: Store, now: Standing) -> Iterator[Entry]:
    """In their order, some thousands at a time: a job may have a million counts.  Raises RecordProblem."""
    seq = 0
    while seq < now.entries:
        page = store.after(now.number, seq, min(_PAGE, now.entries - seq))
        if not page:
            return
        yield from page
        seq = page[-1].seq


def document_lines(store: Store, now: Standing) -> Iterator[str]:
    """The document, each line with its end; raises RecordProblem."""
    told = {"schema": SCHEMA, "what": WHAT, "job": now.number, "program": program_version(), "head": now.head}
    yield f'{_compact(told)[:-1]},"entries":[\n'
    for entry in entries_in(store, now):
        yield entry_line(entry) + (",\n" if entry.seq < now.entries else "\n")
    yield "]}\n"


def entry_line(entry: Entry) -> str:
    """One entry as it stands in the document, its body's own text last."""
    before = {
        "seq": entry.seq,
        "kind": entry.kind,
        "at": entry.at,
        "monotonic": entry.monotonic,
        "previous": entry.previous,
        "hash": entry.hash,
    }
    return f'{_compact(before)[:-1]},"body":{canonical(entry.body)}}}'


def program_version() -> str:
    """Of this program; empty where it was never installed."""
    try:
        return version("turnproof")
    except PackageNotFoundError:
        return ""


def _compact(fields: dict[str, Any]) -> str:
    return json.dumps(fields, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
