"""Everything of one job in one file: record, job file, pictures, counters' lines, profiles, and a list of them.

The same contents give the same bytes: files in the order of their names, each with one date, packed alike.
"""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from bench.records.attachments import attachments_folder, lines_folder, problems_of
from bench.records.entry import ATTACHED, Entry, Kind
from bench.records.exchange.document import document_lines, program_version, standing
from bench.records.exchange.limits import LARGEST_LINES
from bench.records.exchange.manifest import Manifest
from bench.records.exchange.names import ATTACHMENTS, JOB, LINES, MANIFEST, RECORD, name_problem
from bench.records.store import Store

__all__ = ["Contents", "contents_of", "write_bundle"]

_DATE = (1980, 1, 1, 0, 0, 0)
_PLAIN_FILE = 0o100644
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Contents:
    """job_text: the job file;  kept: name in the bundle, and the file;  small: name in the bundle, and contents;
    missing: what the record names and could not go in, a line each."""

    number: str
    job_text: str
    kept: Mapping[str, Path] = field(default_factory=dict)
    small: Mapping[str, bytes] = field(default_factory=dict)
    missing: tuple[str, ...] = ()


def contents_of(store: Store, number: str, job_text: str, profiles: Mapping[str, bytes]) -> Contents:
    """What goes into the bundle of a job; raises RecordProblem.

    job_text: newest version of the job file, empty for that of the record;  profiles: name below `profiles/`, contents.
    """
    kept: dict[str, Path] = {}
    missing: list[str] = []
    for entry in store.entries_of(number, (*ATTACHED, Kind.WIRE_LOG)):
        name, path, problem = _file_of(store, entry)
        if name in kept:
            continue
        if problem or name_problem(name):
            missing.append(f"entry {entry.seq}: {problem or name_problem(name)}"[:200])
        else:
            kept[name] = path
    last = store.last(number, Kind.JOB_FILE)
    text = job_text or ("" if last is None else str(last.body.get("text", "")))
    return Contents(number, text, kept, profiles, tuple(missing))


def write_bundle(store: Store, contents: Contents, out: IO[bytes]) -> Manifest:
    """What was written; raises RecordProblem, OSError where a file can't be read."""
    number = contents.number
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=False, compresslevel=6) as archive:
        written = _Written(archive)
        now = standing(store, number)
        pieces: dict[str, Iterable[bytes]] = {RECORD: _encoded(document_lines(store, now))}
        if contents.job_text:
            pieces[JOB] = [contents.job_text.encode()]
        pieces |= {f"profiles/{name}": [each] for name, each in contents.small.items()}
        pieces |= {name: _chunks(path) for name, path in contents.kept.items()}
        for name in sorted(pieces):
            written.put(name, pieces[name])
        manifest = Manifest(
            number, program_version(), store.path.name, now.head, now.entries, written.files, contents.missing,
        )  # fmt: skip
        written.put(MANIFEST, [manifest.as_json()])
    return manifest


class _Written:
    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.files: dict[str, tuple[int, str]] = {}

    def put(self, name: str, pieces: Iterable[bytes]) -> None:
        info = zipfile.ZipInfo(name, _DATE)
        info.create_system, info.external_attr = 3, _PLAIN_FILE << 16  # as on every system alike
        info.compress_type = zipfile.ZIP_DEFLATED
        digest, size = hashlib.sha256(), 0
        with self._archive.open(info, "w") as file:
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                file.write(piece)
        if name != MANIFEST:
            self.files[name] = (size, digest.hexdigest())


def _file_of(store: Store, entry: Entry) -> tuple[str, Path, str]:
    """Name in the bundle, where it lies, and what is wrong with it."""
    file = str(entry.body.get("file"))
    attached = entry.kind in ATTACHED
    folder = attachments_folder(store.path) if attached else lines_folder(store.path, entry.job)
    name = f"{ATTACHMENTS if attached else LINES}{file}"
    if problems := problems_of(folder, entry.body):
        # Without the place on this machine, which is nobody's business elsewhere.
        return name, folder / file, f"{file}: {problems[0].rpartition(': ')[2]}"
    large = not attached and (folder / file).stat().st_size > LARGEST_LINES
    return name, folder / file, f"{file}: is larger than {LARGEST_LINES} bytes" if large else ""


def _encoded(lines: Iterable[str]) -> Iterator[bytes]:
    return (line.encode() for line in lines)


def _chunks(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while data := file.read(_CHUNK):
            yield data
