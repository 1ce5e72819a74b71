"""Files that belong to entries of a record, as bytes: given away, and taken over from elsewhere."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from bench.records.attachments import LARGEST, keep_bytes, kept_bytes
from bench.records.problem import RecordProblem

__all__ = ["keep_content", "read_content"]

_NAME = re.compile(r"([0-9a-f]{64})(\.[a-z0-9]{1,8})?")


def read_content(folder: Path, body: Mapping[str, Any]) -> bytes | None:
    """The file that an entry names; None where it is missing or is not what its hash says."""
    return kept_bytes(folder, dict(body)) if _names_itself(body) else None


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
    try:
        keep_bytes(folder, data, Path(str(body["file"])).suffix)
    except OSError as problem:
        raise RecordProblem(f"{folder}: not kept: {problem.strerror}") from None


def _names_itself(body: Mapping[str, Any]) -> bool:
    found = _NAME.fullmatch(str(body.get("file")))
    return found is not None and found[1] == body.get("sha256")
