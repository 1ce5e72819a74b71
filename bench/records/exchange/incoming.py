"""A bundle or a document from elsewhere, looked through from end to end: nothing is taken, nothing is believed."""

from __future__ import annotations

import hashlib
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import IO, Any

from bench.records.attachments import LARGEST
from bench.records.entry import Entry, Kind
from bench.records.exchange.archive import Archive, BundleProblem
from bench.records.exchange.bodies import BODIES
from bench.records.exchange.entries_file import Head, entries_from, head_of
from bench.records.exchange.inert_page import page_problem
from bench.records.exchange.limits import (
    LARGEST_JOB,
    LARGEST_LINES,
    LARGEST_MANIFEST,
    LARGEST_PROFILE,
    LARGEST_RECORD,
)
from bench.records.exchange.manifest import Manifest, ManifestProblem, manifest_from
from bench.records.exchange.names import ATTACHMENTS, JOB, LINES, MANIFEST, PROFILES, RECORD
from bench.records.exchange.strict_json import NotStrict
from bench.records.exchange.strict_toml import strict_toml
from bench.records.without_location import without_location

__all__ = ["Incoming", "Seen", "incoming"]

_MOST = {
    ATTACHMENTS: LARGEST,
    LINES: LARGEST_LINES,
    PROFILES: LARGEST_PROFILE,
    JOB: LARGEST_JOB,
    RECORD: LARGEST_RECORD,
}


@dataclass
class Seen:
    """What the entries say.  kinds: how many of each;  begun, ended: UTC, ISO 8601;  hashes: of all in order, 32 bytes
    each;  attached, lines: bodies by the file that they name;  job_text: of the newest job file;  verdict: of the last
    test that came to one."""

    kinds: Counter[str] = field(default_factory=Counter)
    begun: str = ""
    ended: str = ""
    hashes: bytearray = field(default_factory=bytearray)
    attached: dict[str, dict[str, Any]] = field(default_factory=dict)
    lines: dict[str, dict[str, Any]] = field(default_factory=dict)
    job_text: str = ""
    verdict: str = ""

    @property
    def entries(self) -> int:
        return len(self.hashes) // 32

    def hash_at(self, seq: int) -> str:
        return self.hashes[32 * (seq - 1) : 32 * seq].hex()

    @property
    def unknown(self) -> tuple[str, ...]:
        """Kinds that a newer program wrote."""
        return tuple(sorted(kind for kind in self.kinds if kind not in BODIES))


@dataclass(frozen=True)
class Incoming:
    """number of the job;  program: version that wrote it;  files: name and size of what is there beside the record;
    job_text: empty where it has none;  missing: what its record names and it has not, by name;  telling: pictures that
    tell where or when they were taken."""

    number: str
    program: str
    seen: Seen
    job_text: str
    missing: tuple[str, ...]
    telling: tuple[str, ...]
    _record: IO[bytes]
    _archive: Archive | None = None

    def entries(self, after: int) -> Iterator[Entry]:
        """Those above that number, held against each other once more; what they hold was looked at."""
        return entries_from(self._record, after, lambda entry: "")

    def names(self, place: str) -> tuple[str, ...]:
        """Files below `attachments/`, `lines/` or `profiles/`."""
        return () if self._archive is None else tuple(n for n in self._archive.names if n.startswith(place))

    def read(self, name: str) -> bytes:
        assert self._archive is not None
        return self._archive.read(name, LARGEST)

    def chunks(self, name: str) -> Iterator[bytes]:
        assert self._archive is not None
        return self._archive.chunks(name)


@contextmanager
def incoming(path: Path, scratch: Path) -> Iterator[Incoming]:
    """What is in the file at `path`, open while this lasts; raises BundleProblem for what is not as it must be.

    scratch: folder in which the record may lie meanwhile, under no name.
    """
    try:
        with tempfile.TemporaryFile(dir=scratch) as record:
            if path.suffix.lower() == ".json":
                yield _document(path, record)
            else:
                with Archive(path) as archive:
                    yield _bundle(archive, record)
    except OSError as problem:
        raise BundleProblem(f"can't be read: {problem.strerror}") from None


def _document(path: Path, record: IO[bytes]) -> Incoming:
    with path.open("rb") as file:
        size = 0
        while data := file.read(1 << 20):
            size += len(data)
            if size > LARGEST_RECORD:
                raise BundleProblem(f"more than {LARGEST_RECORD / 1e6:.0f} MB, expected at most that")
            record.write(data)
    head = head_of(record)
    seen = _seen(head, record)
    return Incoming(head.job, head.program, seen, seen.job_text, (*seen.attached, *seen.lines), (), record)


def _bundle(archive: Archive, record: IO[bytes]) -> Incoming:
    manifest = _manifest(archive)
    for name, (size, hashed) in manifest.files.items():
        _must_be(archive, name, size, hashed, record if name == RECORD else None)
    head = head_of(record)
    seen = _seen(head, record)
    if (head.job, head.head, seen.entries) != (manifest.job, manifest.head, manifest.entries):
        raise BundleProblem(f"{MANIFEST}: names another record than the one that is in it")
    _belong(manifest, seen)
    text = archive.read(JOB, LARGEST_JOB).decode("utf-8", "replace") if JOB in manifest.files else ""
    if text:
        _of_job(text, head.job, JOB)
    there = {name.partition("/")[2] for name in manifest.files}
    missing = tuple(file for file in (*seen.attached, *seen.lines) if file not in there)
    for name in manifest.files:
        if name.startswith(ATTACHMENTS) and (problem := page_problem(name, partial(archive.read, name, LARGEST))):
            raise BundleProblem(f"{name}: {problem}")
    telling = tuple(name for name in manifest.files if name.startswith(ATTACHMENTS) and _tells(archive, name))
    return Incoming(head.job, head.program, seen, text or seen.job_text, missing, telling, record, archive)


def _manifest(archive: Archive) -> Manifest:
    if MANIFEST not in archive.names:
        raise BundleProblem(f"{MANIFEST} is missing: no bundle as `record export` writes it")
    try:
        manifest = manifest_from(archive.read(MANIFEST, LARGEST_MANIFEST))
    except (ManifestProblem, NotStrict) as problem:
        raise BundleProblem(f"{MANIFEST}: {problem}") from None
    for name in archive.names:
        if name != MANIFEST and name not in manifest.files:
            raise BundleProblem(f"{name}: is not named in {MANIFEST}")
    return manifest


def _must_be(archive: Archive, name: str, size: int, hashed: str, copy: IO[bytes] | None) -> None:
    if name not in archive.names:
        raise BundleProblem(f"{name}: is named in {MANIFEST} and missing")
    most = next(most for place, most in _MOST.items() if name.startswith(place))
    if size > most:
        raise BundleProblem(f"{name}: {size} bytes, expected at most {most}")
    if archive.size(name) != size:
        raise BundleProblem(f"{name}: {archive.size(name)} bytes, {MANIFEST} says {size}")
    digest = hashlib.sha256()
    for data in archive.chunks(name):
        digest.update(data)
        if copy is not None:
            copy.write(data)
    if digest.hexdigest() != hashed:
        raise BundleProblem(f"{name}: is not what its hash in {MANIFEST} says")


def _seen(head: Head, record: IO[bytes]) -> Seen:
    seen = Seen()
    told: set[str] = set()
    for entry in entries_from(record):
        seen.kinds[entry.kind] += 1
        seen.begun, seen.ended = seen.begun or entry.at, entry.at
        seen.hashes += bytes.fromhex(entry.hash)
        body = entry.body
        match entry.kind:
            case Kind.PHOTO | Kind.CERTIFICATE:
                seen.attached[body["file"]] = body
            case Kind.WIRE_LOG:
                other = seen.lines.setdefault(body["file"].casefold(), body)
                if other["sha256"] != body["sha256"]:
                    raise BundleProblem(
                        f"{head.job}: entry {entry.seq}: a counter's line of that name was there before"
                    )
            case Kind.RESULT:
                seen.verdict = body["verdict"]
            case Kind.JOB_FILE:
                if body["text"] not in told:
                    _of_job(body["text"], head.job, f"{head.job}: entry {entry.seq} (job file)")
                    told.add(body["text"])
                seen.job_text = body["text"]
    if not seen.entries:
        raise BundleProblem(f"{head.job}: has no entries")
    seen.lines = {body["file"]: body for body in seen.lines.values()}
    return seen


def _of_job(text: str, number: str, where: str) -> None:
    """A job file that is none would end whatever reads it later; one of another job would be mistaken for this."""
    try:
        identity = strict_toml(text).get("identity")
    except ValueError as problem:
        raise BundleProblem(f"{where}: no job file: {' '.join(str(problem).split())[:100]}") from None
    if not isinstance(identity, Mapping) or identity.get("number") != number:
        raise BundleProblem(f"{where}: is not of job {number}")


def _belong(manifest: Manifest, seen: Seen) -> None:
    """Each picture and each line of a counter must be one that the chain names, with that hash."""
    for name, (_, hashed) in manifest.files.items():
        place, _, file = name.rpartition("/")
        bodies: Mapping[str, dict[str, Any]] | None = {"attachments": seen.attached, "lines": seen.lines}.get(place)
        if bodies is not None and (file not in bodies or bodies[file]["sha256"] != hashed):
            raise BundleProblem(f"{name}: no entry of the record names it")


def _tells(archive: Archive, name: str) -> bool:
    data = archive.read(name, LARGEST)
    plain = without_location(data)
    return plain is not None and plain != data
