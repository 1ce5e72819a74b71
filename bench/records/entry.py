"""One entry of a job's record, and the hash that chains it to the one before."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

__all__ = ["ATTACHED", "GENESIS", "Entry", "Kind", "canonical", "entry_hash"]

GENESIS = "0" * 64
"""What the first entry of a chain names as the one before it."""


class Kind(StrEnum):
    """What an entry holds."""

    JOB_FILE = "job file"
    INSTRUMENT = "instrument"
    COUNT = "count"
    COUNT_EVENT = "count event"
    CORRECTION = "correction"
    LAYER = "layer"
    WINDING_BEGUN = "winding begun"
    WINDING_GO = "winding go"
    HOLD = "hold"
    MARK = "mark"
    WINDING_DONE = "winding done"
    WINDING_CHECK = "winding check"
    RESTACK = "restack"
    VARNISH = "varnish"
    TEST_BEGUN = "test begun"
    TEST_GO = "test go"
    READING = "reading"
    ANSWER = "answer"
    STEP = "step"
    RESULT = "result"
    WIRE_LOG = "wire log"
    NOTE = "note"
    AS_FOUND = "as found"
    STRIP_BEGUN = "strip begun"
    STRIP_COUNT = "strip count"
    STRIP_GO = "strip go"
    STRIPPED = "stripped"
    PHOTO = "photo"
    PICTURE = "picture"
    CERTIFICATE = "certificate"
    PROFILES = "profiles"


ATTACHED = (Kind.PHOTO, Kind.CERTIFICATE)
"""Kinds of which each entry names a file of the attachments by its hash."""


@dataclass(frozen=True, slots=True)
class Entry:
    """seq counts within the job from 1;  at: UTC, ISO 8601;  monotonic: seconds of the writer's clock."""

    job: str
    seq: int
    kind: str
    at: str
    monotonic: float
    body: dict[str, Any]
    previous: str
    hash: str


def canonical(body: dict[str, Any]) -> str:
    """JSON with sorted keys and no blanks: the same content gives the same bytes. Refuses NaN and infinities."""
    return json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def entry_hash(job: str, seq: int, kind: str, at: str, monotonic: float, body: str, previous: str) -> str:
    """SHA-256 over the entry's fields and the hash of the entry before; `body` is its canonical JSON."""
    fields = json.dumps([previous, job, seq, kind, at, repr(monotonic), body], ensure_ascii=False)
    return hashlib.sha256(fields.encode()).hexdigest()
