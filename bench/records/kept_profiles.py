"""What a judgement rests on besides the job file, kept in the job's record: limits, steels, profiles, bench file."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.entry import Entry, Kind, canonical

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job
    from bench.job.procedure_file import ProcedureFile
    from bench.job.profiles import TableName
    from bench.records.reader import Records
    from bench.records.store import Store

__all__ = [
    "BENCH",
    "JUDGED_BY",
    "PROCEDURE",
    "RULES",
    "Content",
    "bench_content",
    "contents_in",
    "contents_of",
    "keep_contents",
    "keep_job_file",
    "keep_tables",
    "kept_for_test",
    "tables_of",
]

JUDGED_BY = "judged_by"
"""Key of an entry that begins a test, or goes on with it: hashes of what it is judged by."""
RULES, PROCEDURE, BENCH = "rules", "procedure", "bench"
_UNKNOWN_STEEL = "nonoriented-unknown"
_LIMITS = ("small-mains", "insulation-classes", "published-tolerances")


@dataclass(frozen=True)
class Content:
    """what: `limits`, `steels`, `laminations`, `wires`, `meters`, `counters`, `rules`, `procedure` or `bench`;
    name: of the profile or the file;  text: as it stood, TOML, or JSON of what was made of several files."""

    what: str
    name: str
    text: str

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.text.encode()).hexdigest()

    @property
    def table(self) -> dict[str, Any]:
        """What a text of JSON says."""
        found: dict[str, Any] = json.loads(self.text)
        return found


def keep_contents(store: Store, number: str, contents: Iterable[Content]) -> None:
    """Keep those that this job's record does not hold yet, in one entry; raises RecordProblem."""
    there = contents_in(store, number)
    new = {one.sha256: one for one in contents if there.get(one.sha256) != one}
    if new:
        body = [{"what": one.what, "name": one.name, "sha256": digest, "text": one.text} for digest, one in new.items()]
        store.append(number, Kind.PROFILES, {"contents": body})


def contents_in(store: Records, number: str) -> dict[str, Content]:
    """All contents that a job's record holds, by hash; raises RecordProblem."""
    return contents_of(store.entries(number, Kind.PROFILES))


def contents_of(entries: Iterable[Entry]) -> dict[str, Content]:
    """All contents among these entries, by hash."""
    bodies = [one for entry in entries if entry.kind == Kind.PROFILES for one in entry.body.get("contents") or ()]
    found = (Content(str(one["what"]), str(one["name"]), str(one["text"])) for one in bodies)
    return {one.sha256: one for one in found}


def tables_of(job: Job) -> tuple[TableName, ...]:
    """Shipped tables that expected readings and limits of this job can depend on."""
    from bench.job.profiles import known

    steels = dict.fromkeys((job.core.steel or _UNKNOWN_STEEL, _UNKNOWN_STEEL))
    return (
        *(("limits", name) for name in _LIMITS),
        *(("steels", name) for name in steels),
        *((kind, name) for kind in ("laminations", "wires") for name in known(kind)),
    )


def keep_tables(store: Store, number: str, tables: Iterable[TableName]) -> None:
    """Keep shipped tables as they are now; raises RecordProblem."""
    keep_contents(store, number, _as_they_are(tables))


def keep_job_file(store: Store, number: str, path: Path) -> None:
    """Keep the job file where it is another one than was kept last; raises RecordProblem."""
    text = path.read_text(encoding="utf-8")
    last = store.last(number, Kind.JOB_FILE)
    if last is None or last.body.get("text") != text:
        store.append(number, Kind.JOB_FILE, {"file": path.name, "text": text})


def bench_content(bench: BenchFile) -> Content:
    return Content(BENCH, "bench.toml", bench.text or "schema = 1\n")


def kept_for_test(
    store: Store, job: Job, bench: BenchFile, procedure: ProcedureFile, rules: Mapping[str, Any]
) -> dict[str, Any]:
    """Keep what a test is judged by; what the entry that begins it says of that: hashes.  Raises RecordProblem."""
    own_rules = [Content(RULES, procedure.rules, canonical(dict(rules)))]
    steps = Content(PROCEDURE, procedure.name, canonical(procedure.model_dump(mode="json", by_alias=True)))
    tables = _as_they_are(tables_of(job))
    named = {PROCEDURE: steps, BENCH: bench_content(bench), RULES: own_rules[0]}
    keep_contents(store, job.identity.number, (*tables, *named.values()))
    return {
        **{what: one.sha256 for what, one in named.items()},
        "tables": {f"{one.what}/{one.name}": one.sha256 for one in tables},
    }


def _as_they_are(tables: Iterable[TableName]) -> list[Content]:
    from bench.job.profiles import table_text

    return [Content(kind, name, table_text(kind, name)) for kind, name in tables]
