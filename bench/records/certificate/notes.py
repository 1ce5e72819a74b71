"""What was corrected or noted on the way: kept beside what it corrects, never in its place."""

from __future__ import annotations

from collections.abc import Sequence

from bench.records.certificate.unit import Row
from bench.records.entry import Entry, Kind

__all__ = ["note_rows"]

_MOST = 24
_MADE_ANEW = {Kind.WINDING_BEGUN: "wound on", Kind.WINDING_DONE: "wound", Kind.RESTACK: "core stacked"}


def note_rows(entries: Sequence[Entry], tested: int) -> tuple[Row, ...]:
    """When, what; the newest where there are too many.  tested: number of the result's entry."""
    rows = [row for one in entries if (row := _row(one)) is not None]
    rows += _changed_since(entries, tested)
    if len(rows) > _MOST:
        rows = [("", f"{len(rows) - _MOST} earlier ones stand in the record"), *rows[-_MOST:]]
    return tuple(rows)


def _row(one: Entry) -> Row | None:
    body = one.body
    if one.kind == Kind.CORRECTION and "turns" in body:
        was = f" from {float(body['before']):g}" if body.get("before") is not None else ""
        what = f"{body.get('winding', '')}: count set{was} to {float(body['turns']):g}: {body.get('reason', '')}"
        return (one.at[:10], what)
    if one.kind == Kind.NOTE:
        winding = f"{body['winding']}: " if body.get("winding") else ""
        return (one.at[:10], f"{winding}{body.get('text', '')}")
    return None


def _changed_since(entries: Sequence[Entry], tested: int) -> list[Row]:
    """A unit that was taken apart after its test is not the one that was tested."""
    found: dict[str, str] = {}
    for one in entries:
        if one.seq > tested and one.kind in (Kind.WINDING_BEGUN, Kind.WINDING_DONE, Kind.RESTACK):
            name = str(one.body.get("winding", ""))
            what = f"{name} {_MADE_ANEW[Kind(one.kind)]}".strip()
            found[what] = one.at[:10]
    return [
        (day, f"AFTER THE TEST: {what}. This paper is of the unit as it was before; it must be tested again")
        for what, day in found.items()
    ]
