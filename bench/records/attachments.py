"""Files that belong to a record, such as photographs: copied beside it under their own hash, never written over.

A photograph is kept without the place and time at which it was taken: the record goes to customers.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.records.without_location import without_location

__all__ = [
    "LARGEST",
    "Attachment",
    "AttachmentRefused",
    "attachments_folder",
    "keep_bytes",
    "keep_file",
    "kept_bytes",
    "lines_folder",
    "problems_of",
]

LARGEST = 50_000_000
"""Bytes; a photograph has a tenth of it."""

_CHUNK = 1 << 20
_SUFFIX = re.compile(r"\.[a-z0-9]{1,8}")


class AttachmentRefused(ValueError):
    """The file can't be attached; one line: which, why, expected."""


@dataclass(frozen=True)
class Attachment:
    """name: of the file as given;  sha256: of its contents as kept;  size [bytes];  file: its name among the
    attachments;  location_out: whether it is known to hold no place and time; not so of what is no JPEG, PNG or WebP.
    """

    name: str
    sha256: str
    size: int
    file: str
    location_out: bool = False

    def as_body(self) -> dict[str, Any]:
        """What the entry of the record holds."""
        return {
            "name": self.name,
            "sha256": self.sha256,
            "bytes": self.size,
            "file": self.file,
            "location": "taken out" if self.location_out else "not looked for",
        }


def attachments_folder(store: Path) -> Path:
    """Where the files of the record in `store` lie."""
    return store.parent / "attachments"


def lines_folder(store: Path, number: str) -> Path:
    """Where what came on the lines of a job's counters lies, for the record in `store`."""
    return store.parent / "lines" / number


def keep_file(folder: Path, path: Path) -> Attachment:
    """Copy a file to FOLDER/<sha256>.<suffix>, whole or not at all; the same contents are kept once.

    Raises AttachmentRefused for a file that is not there, empty, too large or unreadable, and OSError where the copy
    can't be written.
    """
    source = _opened(path)
    with os.fdopen(source, "rb") as file:
        data = _read(file, path)
    plain = without_location(data)
    kept = keep_bytes(folder, data if plain is None else plain, path.suffix.lower())
    return Attachment(path.name, kept["sha256"], kept["bytes"], kept["file"], plain is not None)


def keep_bytes(folder: Path, data: bytes, suffix: str) -> dict[str, Any]:
    """The same of what is no file yet; `sha256`, `bytes` and `file` as an entry holds them.  Raises OSError."""
    folder.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(prefix=".part-", dir=folder)
    try:
        with os.fdopen(handle, "wb") as copy:
            digest = _written(data, copy)
        name = digest + (suffix if _SUFFIX.fullmatch(suffix) else "")
        _named(Path(temporary), folder / name, digest)
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(temporary)
    return {"sha256": digest, "bytes": len(data), "file": name}


def kept_bytes(folder: Path, body: dict[str, Any]) -> bytes | None:
    """Contents of the file of an entry; None where it is missing, unreadable or altered."""
    if problems_of(folder, body):
        return None
    try:
        return (folder / str(body["file"])).read_bytes()
    except OSError:
        return None


def problems_of(folder: Path, body: dict[str, Any]) -> list[str]:
    """What is wrong with the file of an entry, a line each: not there, unreadable, or with other contents."""
    kept = folder / str(body.get("file"))
    what = f"{body.get('name')} ({kept})"
    if kept.parent != folder:
        return [f"{what}: its entry names no file of the attachments"]
    try:
        with kept.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return [f"{what}: is missing"]
    except OSError as problem:
        return [f"{what}: can't be read: {problem.strerror}"]
    return [] if digest == body.get("sha256") else [f"{what}: was altered"]


def _opened(path: Path) -> int:
    """A plain file with something in it, open; never waits for whoever writes to a pipe."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        raise AttachmentRefused(f"{path}: no such file, expected a photograph or another file") from None
    except OSError as problem:
        raise AttachmentRefused(f"{path}: can't be read: {problem.strerror}") from None
    try:
        # The open file is asked, not the name: another may take that name meanwhile.
        if not path.is_file():
            raise AttachmentRefused(f"{path}: is no plain file, expected a photograph or another file")
        size = os.fstat(handle).st_size
        if size == 0:
            raise AttachmentRefused(f"{path}: is empty, expected a file with something in it")
        if size > LARGEST:
            raise AttachmentRefused(f"{path}: {size / 1e6:.0f} MB, expected at most {LARGEST / 1e6:.0f} MB")
    except BaseException:
        os.close(handle)
        raise
    return handle


def _read(file: Any, path: Path) -> bytes:
    """All of it; read and written apart, so that a bad card is told from a full disk."""
    parts: list[bytes] = []
    size = 0
    while True:
        try:
            data = file.read(_CHUNK)
        except OSError as problem:
            raise AttachmentRefused(f"{path}: can't be read: {problem.strerror}") from None
        if not data:
            return b"".join(parts)
        size += len(data)
        if size > LARGEST:
            raise AttachmentRefused(f"{path}: more than {LARGEST / 1e6:.0f} MB, expected at most that")
        parts.append(data)


def _written(data: bytes, copy: Any) -> str:
    """On the disk; its hash."""
    copy.write(data)
    copy.flush()
    os.fsync(copy.fileno())
    return hashlib.sha256(data).hexdigest()


def _named(temporary: Path, kept: Path, digest: str) -> None:
    """Give the copy its name, where no file has it; one that has it must hold the same."""
    temporary.chmod(0o444)
    try:
        os.link(temporary, kept)
    except FileExistsError:
        _must_hold(kept, digest)
    except OSError:
        # A file system without links: whoever takes the name between the look and the renaming has the same bytes.
        if kept.exists():
            _must_hold(kept, digest)
        else:
            os.replace(temporary, kept)
    _synced(kept.parent)


def _must_hold(kept: Path, digest: str) -> None:
    with kept.open("rb") as file:
        if hashlib.file_digest(file, "sha256").hexdigest() != digest:
            raise OSError(errno.EEXIST, "is there with other contents: turnproof record verify JOB", str(kept))


def _synced(folder: Path) -> None:
    """The name is on the disk too; not every system can say so of a folder."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
