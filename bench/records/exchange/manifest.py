"""What a bundle says is in it: each file with its size and hash, and which record's head it is."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bench.records.exchange.names import RECORD, name_problem, number_problem
from bench.records.exchange.shape import items, misfit, record, text, whole
from bench.records.exchange.strict_json import strict_json

__all__ = ["Manifest", "ManifestProblem", "manifest_from"]

WHAT = "bundle of a job"
_HASH = text(64, "^[0-9a-f]{64}$")
_FILE = record({"name": text(120), "bytes": whole(), "sha256": _HASH}, ("name", "bytes", "sha256"))
_SHAPE = record(
    {
        "schema": whole(1, 1_000_000), "what": text(40), "job": text(40), "program": text(40), "journal": text(80),
        "head": _HASH, "entries": whole(1), "files": items(_FILE, 2_000), "missing": items(text(200), 2_000),
    },
    ("schema", "what", "job", "program", "journal", "head", "entries", "files"),
)  # fmt: skip


class ManifestProblem(ValueError):
    """The manifest can't be used; one line."""


@dataclass(frozen=True)
class Manifest:
    """job: its number;  program: version that wrote it;  journal: which record it is from;  head: hash of the newest of
    its entries;  files: name, bytes and SHA-256;  missing: files of the record that could not go in, and why."""

    job: str
    program: str
    journal: str
    head: str
    entries: int
    files: Mapping[str, tuple[int, str]] = field(default_factory=dict)
    missing: tuple[str, ...] = ()

    def as_json(self) -> bytes:
        files = [{"name": name, "bytes": size, "sha256": hashed} for name, (size, hashed) in sorted(self.files.items())]
        document = {
            "schema": 1, "what": WHAT, "job": self.job, "program": self.program, "journal": self.journal,
            "head": self.head, "entries": self.entries, "files": files, "missing": list(self.missing),
        }  # fmt: skip
        return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def manifest_from(contents: bytes) -> Manifest:
    """Raises ManifestProblem, NotStrict for what is no JSON."""
    told: Any = strict_json(contents)
    schema = told.get("schema") if isinstance(told, dict) else None
    if isinstance(schema, int) and not isinstance(schema, bool) and schema > 1:
        raise ManifestProblem(f"schema {schema} is newer than this program, expected 1")
    problem = misfit(told, _SHAPE)
    if problem or told["what"] != WHAT:
        raise ManifestProblem(problem or f"what: expected {WHAT!r}")
    if problem := number_problem(told["job"]):
        raise ManifestProblem(f"job: {told['job']!r}, {problem}")
    files: dict[str, tuple[int, str]] = {}
    for one in told["files"]:
        name = one["name"]
        if problem := name_problem(name):
            raise ManifestProblem(f"file {name!r}: {problem}")
        if name.casefold() in {other.casefold() for other in files}:
            raise ManifestProblem(f"file {name!r} is named twice")
        files[name] = (int(one["bytes"]), one["sha256"])
    if RECORD not in files:
        raise ManifestProblem(f"file {RECORD!r} is missing")
    return Manifest(
        told["job"], told["program"], told["journal"], told["head"], int(told["entries"]), files,
        tuple(told.get("missing", ())),
    )  # fmt: skip
