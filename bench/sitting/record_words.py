"""Entries of a record in a line each; counts that follow each other together, as first and last."""

from __future__ import annotations

from collections.abc import Iterable

from bench.records.entry import Entry, Kind
from bench.winding.stage import entry_words

__all__ = ["counts_of", "entry_summary", "one_line", "run_summary", "runs"]


def runs(entries: Iterable[Entry]) -> list[list[Entry]]:
    """Counts of one winding that follow each other together, every other entry by itself.

    Of those that follow each other the first and the last are enough.
    """
    found: list[list[Entry]] = []
    for entry in entries:
        if found and _counts_on(found[-1][-1], entry):
            found[-1].append(entry)
        else:
            found.append([entry])
    return found


def _counts_on(before: Entry, entry: Entry) -> bool:
    same = before.kind == entry.kind and before.body.get("winding") == entry.body.get("winding")
    return same and entry.kind in ("count", "strip count")


def counts_of(run: list[Entry]) -> int:
    """How many there are from its first to its last."""
    return run[-1].seq - run[0].seq + 1


def run_summary(run: list[Entry]) -> str:
    """How many counts, up to which entry, from which turns to which."""
    key = "off" if run[0].kind == "strip count" else "turns"
    last = run[-1]
    return (
        f"winding {last.body.get('winding')}, {counts_of(run)} counts to entry {last.seq} at {last.at[11:19]}, "
        f"{key} {run[0].body.get(key)} to {last.body.get(key)}"
    )


def entry_summary(entry: Entry) -> str:
    """One entry in a line."""
    if entry.kind in (Kind.RESTACK, Kind.VARNISH):
        return one_line(entry_words(entry.body))
    if entry.kind == Kind.PROFILES:
        contents = entry.body.get("contents") or ()
        return one_line(", ".join(f"{one.get('what')} {one.get('name')}" for one in contents))
    return _summary(entry.body)


_FIRST = (
    "number",
    "id",
    "part",
    "stage",
    "step",
    "event",
    "winding",
    "name",
    "off",
    "turns",
    "verdict",
    "quantity",
    "measured",
    "value",
    "unit",
    "state",
)


def _summary(body: dict[str, object]) -> str:
    """The telling fields first, as much as a line holds."""
    left_out = [
        "components",
        "fed_components",
        "counter",
        "steps",
        "findings",
        "not_done",
        "raw",
        "schema",
        "stripping",
        *_FIRST,
    ]
    if "file" in body:  # of a job file the name tells enough
        left_out.append("text")
    ordered = {key: body[key] for key in _FIRST if key in body} | {k: v for k, v in body.items() if k not in left_out}
    text = ", ".join(f"{key} {value}" for key, value in ordered.items() if value not in (None, "", [], {}))
    return one_line(text)


def one_line(text: str, longest: int = 120) -> str:
    """What a person or a fixture sent may hold anything; here it stays one line and moves no cursor."""
    text = "".join(c if c.isprintable() else " " for c in text)
    return text if len(text) <= longest else text[: longest - 3] + "..."
