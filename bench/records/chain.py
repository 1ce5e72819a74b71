"""What makes entries a chain: each has its place, names the one before it, and is what its hash says."""

from __future__ import annotations

from bench.records.entry import Entry, canonical, entry_hash

__all__ = ["broken_at"]


def broken_at(entry: Entry, seq: int, previous: str) -> str:
    """What is wrong with an entry that is due as number `seq` after the hash `previous`; empty where nothing is."""
    if entry.seq != seq:
        return f"{entry.job}: entry {seq} is missing"
    if entry.previous != previous:
        return f"{entry.job}: entry {entry.seq} does not follow the entry before it"
    body = canonical(entry.body)
    if entry_hash(entry.job, entry.seq, entry.kind, entry.at, entry.monotonic, body, entry.previous) != entry.hash:
        return f"{entry.job}: entry {entry.seq} ({entry.kind}) was altered"
    return ""
