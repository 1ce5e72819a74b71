"""Records that somebody forged: any bodies, with a chain that is whole."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from bench.records.entry import GENESIS, Entry, canonical, entry_hash
from bench.records.exchange.document import SCHEMA, WHAT, entry_line
from bench.records.exchange.incoming import incoming
from bench.records.exchange.taking import take
from bench.records.store import Store
from tests.records.exchange.kept import NUMBER

__all__ = ["chained", "document", "taken_from"]

_AT = "2026-03-01T09:30:00.000001+00:00"


def chained(bodies: Iterable[tuple[str, Any]], number: str = NUMBER) -> list[Entry]:
    """Entries whose hashes hold, whatever is in them."""
    made: list[Entry] = []
    previous = GENESIS
    for seq, (kind, body) in enumerate(bodies, 1):
        digest = entry_hash(number, seq, kind, _AT, 0.5 + seq, canonical(body), previous)
        made.append(Entry(number, seq, kind, _AT, 0.5 + seq, body, previous, digest))
        previous = digest
    return made


def document(entries: list[Entry], number: str = NUMBER) -> bytes:
    told = {"schema": SCHEMA, "what": WHAT, "job": number, "program": "0.1.0", "head": entries[-1].hash}
    first = json.dumps(told, separators=(",", ":"))[:-1] + ',"entries":[\n'
    lines = ",\n".join(entry_line(one) for one in entries)
    return f"{first}{lines}\n]}}\n".encode()


def taken_from(folder: Path, contents: bytes) -> Store:
    """A new record in `folder` with what was taken; raises BundleProblem where it is refused."""
    path = folder / "forged.json"
    path.write_bytes(contents)
    store = Store(folder / "records.sqlite")
    try:
        with incoming(path, folder) as coming:
            take(store, coming)
    except BaseException:
        store.close()
        raise
    return store
