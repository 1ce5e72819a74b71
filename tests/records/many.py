"""A record of many units, each a handful of entries, written at once with chains that hold."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from bench.records.entry import GENESIS, Entry, Kind, canonical, entry_hash
from bench.records.store import Store

__all__ = ["entries_of_many", "fill"]

_EQUIPMENT = ("coastal receiver", "gate opener", "mantel radio", "bench supply", "tape machine", "stage amplifier",
              "signal lamp", "battery charger", "oscilloscope", "weighing scale")  # fmt: skip
_OWNERS = ("Ferry Museum", "A. Lindqvist", "Harbour Office", "R. Okafor", "Mill Theatre", "B. Castellano")
_VERDICTS = ("accepted",) * 6 + ("rejected", "undecided", "undecided", "incomplete")
_FAULTS = ("turns_wrong", "turns_shorted", "core_gap", "insulation_low", "joint_poor", "winding_reversed")
_BEGIN = datetime(2016, 1, 4, 8, tzinfo=UTC)


def entries_of_many(count: int, seed: int = 1) -> Iterator[Entry]:
    """Of so many units, one begun an hour after the other; all invented."""
    draw = random.Random(seed)
    for number in range(count):
        at = _BEGIN + timedelta(hours=number)
        previous = GENESIS
        for seq, (kind, body) in enumerate(_unit(number, draw), start=1):
            at += timedelta(minutes=7)
            job, stamp = f"U-{number:06d}", at.isoformat()
            digest = entry_hash(job, seq, kind, stamp, float(seq), canonical(body), previous)
            yield Entry(job, seq, str(kind), stamp, float(seq), body, previous, digest)
            previous = digest


def fill(path: Path, count: int, seed: int = 1) -> None:
    """The same in a file."""
    with Store(path):
        pass
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute("BEGIN")
        connection.executemany(
            "INSERT INTO entry (job, seq, kind, at, monotonic, body, previous, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                (one.job, one.seq, one.kind, one.at, one.monotonic, canonical(one.body), one.previous, one.hash)
                for one in entries_of_many(count, seed)
            ),
        )
        connection.execute("COMMIT")


def _unit(number: int, draw: random.Random) -> list[tuple[Kind, dict[str, Any]]]:
    equipment = draw.choice(_EQUIPMENT)
    verdict = draw.choice(_VERDICTS)
    serial = f"{draw.randrange(10**5):05d}"
    text = (
        f'schema = 1\n\n[identity]\nnumber = "U-{number:06d}"\nname = "{equipment} {number % 97}"\n'
        f'equipment = "{equipment}"\nmaker = "invented"\nmodel = "M{number % 311}"\nserial = "{serial}"\n'
        f'owner = "{draw.choice(_OWNERS)}"\n\n[core]\nlamination = "EI 96"\nstack = "45 mm"\n'
    )
    meter = draw.randrange(4)
    found = [] if verdict == "accepted" else [
        {"fault": draw.choice(_FAULTS), "winding": "heater", "size": "2 turns", "probability": 0.93}
    ]  # fmt: skip
    return [
        (Kind.JOB_FILE, {"file": f"unit-{number}.toml", "text": text}),
        (Kind.WINDING_DONE, {"winding": "primary", "turns": 662.0, "low": 662.0, "high": 662.0, "target": 662}),
        (Kind.INSTRUMENT, {"what": "meter", "name": f"desk {meter}", "use": "scpi@/dev/ttyUSB0",
                           "serial": f"D-{meter:03d}", "identity": f"Example Works,BENCH METER 4,D-{meter:03d},1.2"}),
        (Kind.TEST_BEGUN, {"procedure": "before varnish"}),
        (Kind.STEP, {"id": "resistance:primary", "measured": 16.3, "unit": "ohm", "verdict": "accepted"}),
        (Kind.RESULT, {"schema": 1, "verdict": verdict, "steps": [], "findings": found, "not_done": []}),
    ]  # fmt: skip
