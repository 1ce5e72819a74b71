"""From the entries of one job to its rows in the derived tables."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from bench.records.entry import Entry, Kind

__all__ = ["FOLDED", "JobEnds", "JobRows", "fold", "instrument_key"]

FOLDED = (Kind.JOB_FILE, Kind.INSTRUMENT, Kind.TEST_BEGUN, Kind.RESULT)
"""Kinds that tell anything to search for."""
_IDENTITY = re.compile(r"^\[identity\].*?(?=^[ \t]*\[|\Z)", re.MULTILINE | re.DOTALL)
_SAID = ("name", "equipment", "maker", "model", "serial", "owner")


@dataclass(frozen=True)
class JobEnds:
    """first_at, last_at, last_kind: of the first and the newest entry of all kinds;  entries: how many there are."""

    job: str
    first_at: str
    last_at: str
    last_kind: str
    entries: int


@dataclass
class JobRows:
    job: dict[str, Any]
    tests: list[dict[str, Any]] = field(default_factory=list)
    faults: list[dict[str, Any]] = field(default_factory=list)
    uses: list[dict[str, Any]] = field(default_factory=list)
    instruments: set[tuple[str, str]] = field(default_factory=set)


def fold(ends: JobEnds, entries: Sequence[Entry]) -> JobRows:
    """entries: of `FOLDED` kinds, in order.  What another version wrote is passed over."""
    rows = JobRows({})
    text = file = ""
    for entry in entries:
        body = entry.body
        match entry.kind:
            case Kind.JOB_FILE:
                text, file = str(body.get("text", "")), str(body.get("file", ""))
            case Kind.INSTRUMENT:
                use = _use(entry)
                rows.uses.append(use)
                rows.instruments.add((use["key"], _words_of(body)))
            case Kind.TEST_BEGUN:
                rows.tests.append(_test(entry, len(rows.tests) + 1, str(body.get("procedure", ""))))
            case Kind.RESULT:
                if not rows.tests:  # an older record does not say where a test began
                    rows.tests.append(_test(entry, 1, ""))
                test = rows.tests[-1]
                test |= {"ended_at": entry.at, "verdict": str(body.get("verdict", ""))}
                rows.faults = [one for one in rows.faults if one["number"] != test["number"]]
                rows.faults += _faults(entry, test["number"])
    finished = [one for one in rows.tests if one["verdict"]]
    identity = _identity(text)
    said = [identity.get(key, "") for key in _SAID]
    rows.job = {
        "job": ends.job,
        "name": identity.get("name", ""),
        "equipment": " ".join(part for part in (identity.get("equipment", ""), identity.get("model", "")) if part),
        "owner": identity.get("owner", ""),
        "file": file,
        "words": " ".join(part for part in (ends.job, *said, file) if part).lower(),
        "first_at": ends.first_at,
        "last_at": ends.last_at,
        "last_kind": ends.last_kind,
        "entries": ends.entries,
        "tests": len(rows.tests),
        "verdict": finished[-1]["verdict"] if finished else "",
        "tested_at": finished[-1]["ended_at"] if finished else "",
    }
    return rows


def instrument_key(body: Mapping[str, Any]) -> str:
    """Which instrument it is: by its serial number, else by what it says of itself, else by its owner's name for it.

    Never by its port; of a meter that nobody named, and that says nothing, by the dialect it speaks.
    """
    serial = str(body.get("serial") or body.get("serial_read") or "")
    if serial:
        return serial
    name, use, identity = (str(body.get(key) or "") for key in ("name", "use", "identity"))
    if use == "hand":
        return name or "hand"
    if identity:
        return identity
    return name if name != use else use.partition("@")[0]


def _identity(text: str) -> dict[str, str]:
    """The one table of the job file is read, and the whole only where it stands in another form."""
    found = _IDENTITY.search(text)
    try:
        said = tomllib.loads(found[0] if found is not None else text).get("identity", {})
    except (tomllib.TOMLDecodeError, ValueError, RecursionError):
        return {}
    return {key: str(value) for key, value in said.items()} if isinstance(said, dict) else {}


def _test(entry: Entry, number: int, procedure: str) -> dict[str, Any]:
    return {
        "job": entry.job,
        "number": number,
        "begun_at": entry.at,
        "ended_at": "",
        "procedure": procedure,
        "verdict": "",
    }


def _faults(entry: Entry, number: int) -> list[dict[str, Any]]:
    """Of two at once, named `one+other`, each."""
    found: dict[tuple[str, str], float] = {}
    for one in entry.body.get("findings") or ():
        for fault in str(one.get("fault", "")).split("+"):
            place = (fault, str(one.get("winding", ""))[:80])
            found[place] = max(found.get(place, 0.0), float(one.get("probability") or 0.0))
    return [
        {"job": entry.job, "number": number, "fault": fault[:40], "winding": winding, "probability": p, "at": entry.at}
        for (fault, winding), p in found.items()
        if fault and fault != "none"
    ]


def _use(entry: Entry) -> dict[str, Any]:
    body = entry.body
    return {
        "job": entry.job,
        "seq": entry.seq,
        "at": entry.at,
        "what": str(body.get("what", "meter")),
        "name": str(body.get("name") or ""),
        "key": instrument_key(body),
    }


def _words_of(body: Mapping[str, Any]) -> str:
    said = [str(body.get(key) or "") for key in ("name", "identity", "serial", "serial_read", "certificate")]
    return " ".join(dict.fromkeys(part for part in said if part)).lower()
