"""What was looked through is taken into this machine's record: files first, then all entries at once, or nothing."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from bench.records.attachments import attachments_folder, lines_folder
from bench.records.contents import keep_content
from bench.records.exchange.incoming import Incoming
from bench.records.exchange.names import ATTACHMENTS, LINES
from bench.records.problem import RecordDiverged, RecordProblem
from bench.records.store import Store

__all__ = ["Against", "against", "take"]


@dataclass(frozen=True)
class Against:
    """here, there: entries in this record, and in what comes in;  same: how many the two begin with alike."""

    here: int
    there: int
    same: int

    @property
    def diverged(self) -> bool:
        return self.same < min(self.here, self.there)

    @property
    def new(self) -> int:
        return 0 if self.diverged else max(0, self.there - self.here)


def against(store: Store, coming: Incoming) -> Against:
    """Where what comes in stands against this record; raises RecordProblem."""
    here, there = store.count(coming.number), coming.seen.entries
    low, high = 0, min(here, there)
    while low < high:  # two chains that agree in an entry agree in all before it
        middle = (low + high + 1) // 2
        if _hash_at(store, coming.number, middle) == coming.seen.hash_at(middle):
            low = middle
        else:
            high = middle - 1
    return Against(here, there, low)


def take(store: Store, coming: Incoming) -> int:
    """How many entries were new.  Raises RecordDiverged where the job was gone on with here, RecordProblem where
    something can't be kept; then none of the entries is there, at most pictures that no entry names."""
    standing = against(store, coming)
    if standing.diverged:
        raise RecordDiverged(
            f"{coming.number}: entry {standing.same + 1} is another one here: the job was gone on with at two places, "
            "and nothing is taken"
        )
    folder = attachments_folder(store.path)
    for name in coming.names(ATTACHMENTS):
        keep_content(folder, coming.seen.attached[name.removeprefix(ATTACHMENTS)], coming.read(name))
    with contextlib.ExitStack() as parts:
        # Under their own names only once the record names them: else the next winding would seal them as its own.
        ready = [_unpacked(coming, name, lines_folder(store.path, coming.number), parts)
                 for name in coming.names(LINES)]  # fmt: skip
        new = store.take(coming.entries(standing.same - 1 if standing.same else 0)) if standing.new else 0
        for part, kept in ready:
            if part is not None:
                _named(part, kept)
    return new


def _hash_at(store: Store, number: str, seq: int) -> str:
    entries = store.after(number, seq - 1, 1)
    return entries[0].hash if entries and entries[0].seq == seq else ""


def _unpacked(coming: Incoming, name: str, folder: Path, parts: contextlib.ExitStack) -> tuple[Path | None, Path]:
    """A counter's line on the disk under a passing name, and the one it is to have; None where it is there."""
    body = coming.seen.lines[name.removeprefix(LINES)]
    kept = folder / str(body["file"])
    try:
        if kept.exists():
            with kept.open("rb") as file:
                if hashlib.file_digest(file, "sha256").hexdigest() != body["sha256"]:
                    raise RecordProblem(f"{kept}: is there with other contents, and nothing is taken")
            return None, kept
        folder.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=".coming-", suffix=".part", dir=folder)
        part = Path(temporary)
        parts.callback(part.unlink, missing_ok=True)
        digest = hashlib.sha256()
        with os.fdopen(handle, "wb") as out:
            for data in coming.chunks(name):
                digest.update(data)
                out.write(data)
            out.flush()
            os.fsync(out.fileno())
        part.chmod(0o644)
    except OSError as problem:
        raise RecordProblem(f"{folder}: not kept: {problem.strerror}") from None
    if digest.hexdigest() != body["sha256"]:
        raise RecordProblem(f"{name}: changed while it was read, and nothing is taken")
    return part, kept


def _named(part: Path, kept: Path) -> None:
    try:
        os.replace(part, kept)
    except OSError as problem:
        raise RecordProblem(f"{kept}: not kept: {problem.strerror}; import it once more") from None
