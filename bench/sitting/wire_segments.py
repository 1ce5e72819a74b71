"""Every byte of a counter's line on the disk with its time, and sealed into the record once the line is closed."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from bench.records.attachments import lines_folder
from bench.records.problem import RecordProblem
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.sitting.winding_record import WindingRecord

__all__ = ["new_segment", "seal_segments", "sealed"]


def _folder(record: WindingRecord) -> Path:
    return lines_folder(record.store.path, record.number)


def new_segment(record: WindingRecord) -> Path | None:
    """The file that this go's bytes are kept in; None where there can be none, which is no reason not to count."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
    path = _folder(record) / f"{record.winding}-{stamp}-{os.getpid()}.jsonl"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    except OSError:
        return None
    return path


@contextmanager
def sealed(record: WindingRecord) -> Iterator[None]:
    """Seals what was kept once the line is closed, however that came."""
    try:
        yield
    except BaseException:
        with suppress(RecordProblem, BadInput):  # what ended it is said, and goes first
            seal_segments(record)
        raise
    seal_segments(record)


def seal_segments(record: WindingRecord) -> None:
    """Segments of this winding whose hash is not in the chain yet, also of goes that were killed; raises BadInput."""
    from bench.records.entry import Kind

    sealed = {one.body.get("file") for one in record.store.entries(record.number, Kind.WIRE_LOG)}
    try:
        own = re.compile(re.escape(record.winding) + r"-\d{8}T\d{6}-\d+\.jsonl")
        for path in sorted(_folder(record).glob("*.jsonl")):
            if path.name in sealed or own.fullmatch(path.name) is None:
                continue
            if path.stat().st_size == 0:
                path.unlink()
                continue
            with path.open("rb") as file:
                digest = hashlib.file_digest(file, "sha256").hexdigest()
            record.keep("wire log", {"file": path.name, "bytes": path.stat().st_size, "sha256": digest})
    except OSError as problem:
        raise BadInput(f"{problem.filename}: the counter's lines can't be read: {problem.strerror}") from None
