"""Files that belong to entries of a record, as bytes: given away, and taken over from elsewhere."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from bench.records.attachments import LARGEST
from bench.records.problem import RecordProblem

__all__ = ["keep_content", "read_content"]

_NAME = re.compile(r"([0-9a-f]{64})(\.[a-z0-9]{1,8})?")


def read_content(folder: Path, body: Mapping[str, Any]) -> bytes | None:
    """The file that an entry names; None where it is missing or is not what its hash says."""
    if not _names_itself(body):
        return None
    try:
        data = (folder / str(body["file"])).read_bytes()
    except OSError:
        return None
    return data if hashlib.sha256(data).hexdigest() == body["sha256"] else None


def keep_content(folder: Path, body: Mapping[str, Any], data: bytes) -> None:
    """Keep the file that an entry of another place names, whole or not at all; one that is there stays.

    The entry is not trusted: raises RecordProblem for a name that is not the hash of the bytes, and for a file that is
    too large or can't be written.
    """
    what = f"{body.get('name')}"
    if not _names_itself(body) or hashlib.sha256(data).hexdigest() != body["sha256"]:
        raise RecordProblem(f"{what}: is not the file that its entry names")
    if len(data) > LARGEST:
        raise RecordProblem(f"{what}: {len(data) / 1e6:.0f} MB, expected at most {LARGEST / 1e6:.0f} MB")
    if read_content(folder, body) is not None:
        return
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=".part-", dir=folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(temporary, 0o444)
            os.replace(temporary, folder / str(body["file"]))
        finally:
            with contextlib.suppress(FileNotFoundError):
                os.unlink(temporary)
    except OSError as problem:
        raise RecordProblem(f"{folder}: not kept: {problem.strerror}") from None


def _names_itself(body: Mapping[str, Any]) -> bool:
    found = _NAME.fullmatch(str(body.get("file")))
    return found is not None and found[1] == body.get("sha256")
