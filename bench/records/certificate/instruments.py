"""What a test was read with: each meter with its calibration, the turn counter, and what nobody named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bench.records.entry import Entry, Kind

__all__ = ["instrument_lines"]

_MOST_FILES = 3
_BY_TESTER = {"insulation": "insulation tester", "hipot": "dielectric tester"}


def instrument_lines(entries: Sequence[Entry], job_entry: Entry, steps: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    """The meter of the last sitting, or each where several were named by role; entries: up to the test."""
    meters = [one for one in entries if one.kind == Kind.INSTRUMENT and one.body.get("what", "meter") == "meter"]
    bodies = [one.body for one in meters]
    roles = {str(one.body["role"]): one.body for one in meters if one.seq > job_entry.seq and "role" in one.body}
    newest = [] if roles and "role" in bodies[-1] else bodies[-1:]
    lines = [_instrument(body) for body in (*roles.values(), *newest)]
    return (*(lines or ["Meter: none on record"]), *_counters(entries), *_testers(steps), *_raw_lines(entries))


def _instrument(body: dict[str, Any]) -> str:
    role = f"Meter for {body['role']}" if body.get("role") else "Meter"
    name = " ".join(str(body[key]) for key in ("name", "identity") if body.get(key))
    serial = f", serial number {body['serial']}" if body.get("serial") else ""
    said = []
    if body.get("calibrated"):
        said.append(f"calibrated {body['calibrated']}")
    if body.get("calibration_due"):
        said.append(f"due {body['calibration_due']}")
    if body.get("certificate"):
        said.append(f"certificate {body['certificate']}")
    return f"{role}: {name}{serial}, {', '.join(said) or 'no calibration on record'}"


def _counters(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Of the turns wound, each kind once."""
    kept = [one.body.get("counter") for one in entries if one.kind == Kind.COUNT]
    boards = [one for one in kept if isinstance(one, dict) and one.get("form")]
    named = {one["form"] for one in boards if one.get("board")}
    told = (one for one in boards if one.get("board") or one["form"] not in named)
    names = (f"{one['form']}{', board ' + str(one['board']) if one.get('board') else ''}" for one in told)
    found = tuple(dict.fromkeys(names))
    return (f"Turn counter: {'; '.join(found)}",) if found else ()


def _raw_lines(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Files of what went over the instruments' lines, by their hash."""
    kept = [one.body for one in entries if one.kind == Kind.WIRE_LOG and one.body.get("sha256")]
    files = list(dict.fromkeys(f"{one.get('file', '')} {str(one['sha256'])[:16]}…" for one in kept))
    more = f" and {len(files) - _MOST_FILES} more in the record" if len(files) > _MOST_FILES else ""
    return (f"What went over their lines, by sha-256: {', '.join(files[-_MOST_FILES:])}{more}",) if files else ()


def _testers(steps: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    """Whose readings are typed in, and of which the record knows no more."""
    kinds = {str(step["id"]).partition(":")[0] for step in steps if step["measured"] is not None}
    names = [words for kind, words in _BY_TESTER.items() if kind in kinds]
    if not names:
        return ()
    return (f"{' and '.join(names).capitalize()}: typed in by hand, make and calibration not on record",)
