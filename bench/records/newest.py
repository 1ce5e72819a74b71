"""A second copy of the newest entries, as lines beside the record: what a damaged write-ahead log takes with it."""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from bench.records.entry import Entry

__all__ = ["Line", "NewestLines"]

_MOST_BYTES = 4_000_000
"""Of each of the two files.  The log holds some thousand pages, an entry takes three or more of them and about a
kilobyte here: so a file holds many times what is only in the log."""
_READ_BYTES = 2_000_000
_GLANCE_BYTES = 16_000
_ALL = 1_000_000
_HASH = re.compile(rb'"([0-9a-f]{64})"\]$')


@dataclass(frozen=True)
class Line:
    """An entry, and by the hash of its first entry the record that it belongs to."""

    record: str
    entry: Entry


class NewestLines:
    """Lines are added behind each commit and not waited for: the log is on the disk by then, so that after a power cut
    one of the two has every entry, and a killed program leaves both."""

    def __init__(self, store: Path) -> None:
        self.path = store.with_name(f"{store.name}-newest.jsonl")
        self.older = store.with_name(f"{store.name}-newest-before.jsonl")
        self._full = False

    def keep(self, entries: Iterable[Entry], record: str) -> None:
        """Stored entries, in order.  A copy that can't be written is no reason to complain: they are stored."""
        # Each begins with its line end, so that one that was cut spoils no other.
        data = "".join("\n" + _line(entry, record) for entry in entries).encode()[-_MOST_BYTES:]
        with contextlib.suppress(OSError):
            file = os.open(self.path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644)
            try:
                os.write(file, data)
                self._full = os.fstat(file).st_size > _MOST_BYTES
            finally:
                os.close(file)

    def make_room(self) -> None:
        """To be called under the record's write lock: of two programs one begins the new file."""
        if not self._full:
            return
        self._full = False
        with contextlib.suppress(OSError):
            if self.path.stat().st_size > _MOST_BYTES:
                os.replace(self.path, self.older)

    def last(self) -> Line | None:
        """The newest whole line."""
        glance = [one for line in _tail(self.path, _GLANCE_BYTES) if (one := _read(line)) is not None]
        found = glance or self.newest(1)  # a line that is longer than a glance is not seen whole in it
        return found[-1] if found else None

    def hashes(self, most: int) -> list[str]:
        """Of the newest lines, at most so many, newest first, without a look at the rest of them."""
        return [found[1].decode() for line in self._backwards(_READ_BYTES) if (found := _HASH.search(line))][:most]

    def newest(self, most: int = _ALL, read: int = _READ_BYTES) -> list[Line]:
        """At most so many, in order; of lines that are damaged none."""
        whole = (found for line in self._backwards(read) if (found := _read(line)) is not None)
        return list(islice(whole, most))[::-1]

    def _backwards(self, read: int) -> Iterator[bytes]:
        for path in (self.path, self.older):
            yield from reversed(_tail(path, read))

    def set_aside(self, stamp: str) -> Path:
        """Nobody reads them any more, and nobody throws them away; where the newest are."""
        aside = self.path.with_name(f"{self.path.stem}-{stamp}.jsonl")
        for path, to in ((self.path, aside), (self.older, aside.with_name(f"{aside.stem}-before.jsonl"))):
            with contextlib.suppress(FileNotFoundError):
                os.replace(path, to)
        return aside


def _line(entry: Entry, record: str) -> str:
    fields = (record, entry.job, entry.seq, entry.kind, entry.at, entry.monotonic, entry.body, entry.previous)
    return json.dumps([*fields, entry.hash], separators=(",", ":"))


def _read(line: bytes) -> Line | None:
    """None for what is no line of this file; whether the entry is what its hash says is asked by who takes it."""
    try:
        record, job, seq, kind, at, monotonic, body, previous, digest = json.loads(line)
        return Line(
            str(record),
            Entry(str(job), int(seq), str(kind), str(at), float(monotonic), dict(body), str(previous), str(digest)),
        )
    except (ValueError, TypeError):
        return None


def _tail(path: Path, read: int) -> list[bytes]:
    try:
        with path.open("rb") as file:
            file.seek(max(0, file.seek(0, os.SEEK_END) - read))
            return file.read().split(b"\n")
    except OSError:
        return []
