"""Counts of windings, on and off, as rows of a table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bench.records.entry import Entry, Kind
from bench.records.exchange.table import Column, Form, Row, Table, moment, number

__all__ = ["COUNTS"]

_N, _T = Form.NUMBER, Form.TEXT

COLUMNS = (
    Column("job", _T, "Number of the job.", always=True),
    Column("entry", Form.WHOLE, "Number of the record's entry that holds it.", always=True),
    Column("time", Form.TIME, "When it was kept, UTC, ISO 8601."),
    Column("winding", _T, "Which winding."),
    Column("way", _T, "on: onto the former; off: off the unit as found.", always=True),
    Column("what", _T, "count: by a counter; layer: typed; correction: the count was set; hold; begun; done; "
           "off whole; go: of stripping.", always=True),
    Column("turns", _N, "Turns on the coil, or off it, then.", unit="turns"),
    Column("low", _N, "The truth is not below; empty where nothing bounds it.", unit="turns"),
    Column("high", _N, "The truth is not above; empty where nothing bounds it.", unit="turns"),
    Column("unit", _T, "Of turns, low, high and target."),
    Column("target", _N, "Turns that are to go on.", unit="turns"),
    Column("reason", _T, "Why the count was set, or how it was taken."),
)  # fmt: skip

_KINDS: dict[str, tuple[str, str]] = {
    Kind.WINDING_BEGUN: ("on", "begun"),
    Kind.COUNT: ("on", "count"),
    Kind.LAYER: ("on", "layer"),
    Kind.CORRECTION: ("on", "correction"),
    Kind.HOLD: ("on", "hold"),
    Kind.WINDING_DONE: ("on", "done"),
    Kind.STRIP_BEGUN: ("off", "begun"),
    Kind.STRIP_COUNT: ("off", "count"),
    Kind.STRIP_GO: ("off", "go"),
    Kind.STRIPPED: ("off", "off whole"),
}


def _rows(job: str, entries: Iterable[Entry]) -> Iterator[Row]:
    for one in entries:
        if one.kind not in _KINDS:
            continue
        way, what = _KINDS[one.kind]
        body = one.body
        turns = body.get("off", body.get("turns"))
        if one.kind == Kind.LAYER:
            turns = body.get("total")
        yield {
            "job": job,
            "entry": one.seq,
            "time": moment(one.at),
            "winding": str(body.get("winding", "")),
            "way": way,
            "what": what,
            "turns": number(turns),
            "low": number(body.get("low")),
            "high": number(body.get("high")),
            "unit": "turns",
            "target": number(body.get("target")),
            "reason": str(body.get("reason") or body.get("why") or body.get("how") or body.get("text") or ""),
        }


COUNTS = Table("counts", "Counts of a job's windings", COLUMNS, ("job", "entry"), _rows)
