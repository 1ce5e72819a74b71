"""All jobs that have a record, each in a line: which it is, what was done last, how its last test ended."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.entry import Entry, Kind
from bench.sitting.history import line_of

if TYPE_CHECKING:
    from bench.job.model import Job
    from bench.records.store import Store

__all__ = ["JobLine", "find", "jobs_known", "unkept"]


_IDENTITY = re.compile(r"^\[identity\].*?(?=^\s*\[|\Z)", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class JobLine:
    """number, name, equipment;  at: UTC, ISO 8601, when something was kept last, and what;  verdict: of the last test,
    empty where none was finished, and when;  file: name of the job file as it was kept, empty where none was."""

    number: str
    name: str
    equipment: str
    at: str
    last: str
    verdict: str
    tested_at: str
    file: str

    @property
    def sought_in(self) -> str:
        """All that a search looks at."""
        parts = (self.number, self.name, self.equipment, self.last, self.verdict or "not tested", self.at[:10],
                 self.tested_at[:10], self.file)  # fmt: skip
        return " ".join(parts).lower()


def jobs_known(store: Store) -> tuple[JobLine, ...]:
    """Those on which something was done last come first; raises RecordProblem."""
    results, files = store.newest(Kind.RESULT), store.newest(Kind.JOB_FILE)
    lines = [_line(entry, results.get(number), files.get(number)) for number, entry in store.newest().items()]
    return tuple(sorted(lines, key=lambda one: one.at, reverse=True))


def unkept(job: Job, file: str) -> JobLine:
    """A job of which nothing is kept yet."""
    return JobLine(job.identity.number, job.identity.name, job.identity.equipment, "", "", "", "", file)


def find(jobs: Iterable[JobLine], text: str) -> tuple[JobLine, ...]:
    """Those in which each of the words stands, in whatever order."""
    words = text.lower().split()
    return tuple(one for one in jobs if all(word in one.sought_in for word in words))


def _line(entry: Entry, result: Entry | None, file: Entry | None) -> JobLine:
    name, equipment = _identity(file)
    return JobLine(
        number=entry.job,
        name=name,
        equipment=equipment,
        at=entry.at,
        last=str(line_of([entry]).topic),
        verdict="" if result is None else str(result.body.get("verdict", "")),
        tested_at="" if result is None else result.at,
        file="" if file is None else str(file.body.get("file", "")),
    )


def _identity(file: Entry | None) -> tuple[str, str]:
    """Name and equipment by the job file that is kept."""
    text = "" if file is None else str(file.body.get("text", ""))
    found = _IDENTITY.search(text)
    try:
        # Of hundreds of files the one table is read, and the whole only where it stands in another form.
        said = tomllib.loads(found[0] if found is not None else text).get("identity", {})
    except tomllib.TOMLDecodeError:
        return "", ""
    return (str(said.get("name", "")), str(said.get("equipment", ""))) if isinstance(said, dict) else ("", "")
