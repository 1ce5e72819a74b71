"""The record as one document, from elsewhere: read an entry at a time, each held against the one before it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import IO, Any

from bench.records.chain import broken_at
from bench.records.entry import GENESIS, Entry
from bench.records.exchange.archive import BundleProblem
from bench.records.exchange.bodies import body_problem
from bench.records.exchange.document import SCHEMA, WHAT
from bench.records.exchange.limits import LONGEST_LINE
from bench.records.exchange.names import number_problem
from bench.records.exchange.shape import misfit, record, text
from bench.records.exchange.strict_json import NotStrict, strict_json

__all__ = ["Head", "entries_from", "head_of"]

_BEGINS = b'"entries":[\n'
_ENDS = b"]}\n"
_KIND = re.compile(r"[a-z](?:[a-z ]{0,18}[a-z])?")
_TOP = record({"what": text(40), "job": text(40), "program": text(40), "head": text(64, "^[0-9a-f]{64}$")},
              ("schema", "what", "job", "head"))  # fmt: skip
_KEYS = {"seq", "kind", "at", "monotonic", "previous", "hash", "body"}


@dataclass(frozen=True)
class Head:
    """What stands before the entries.  program: version that wrote it;  head: hash of the newest entry."""

    job: str
    program: str
    head: str


def head_of(file: IO[bytes]) -> Head:
    """Of a document from its beginning; raises BundleProblem."""
    file.seek(0)
    line = _line(file)
    if not line.endswith(_BEGINS):
        raise BundleProblem("is no record of a job as `record export` writes it, an entry a line")
    told = _value(line[:-1] + b"]}", "first line")
    schema = told.get("schema") if isinstance(told, dict) else None
    if isinstance(schema, int) and not isinstance(schema, bool) and schema > SCHEMA:
        raise BundleProblem(f"schema {schema} is newer than this program, expected {SCHEMA}")
    if problem := misfit(told, _TOP):
        raise BundleProblem(problem)
    if schema != SCHEMA or isinstance(schema, bool) or told["what"] != WHAT:
        raise BundleProblem(f"expected schema {SCHEMA} and what {WHAT!r}")
    if problem := number_problem(told["job"]):
        raise BundleProblem(f"job: {told['job']!r}, {problem}")
    return Head(told["job"], told.get("program", ""), told["head"])


def entries_from(file: IO[bytes], after: int = 0, problem_of: Callable[[Entry], str] = body_problem) -> Iterator[Entry]:
    """Every entry above the number `after`; raises BundleProblem for the first that is not whole, does not follow the
    one before it, or holds what its readers could not read, and for a document that is cut or goes on behind its end.

    problem_of: what the readers of an entry would stumble over.
    """
    head = head_of(file)
    seq, previous, ended = 0, GENESIS, False
    while True:
        line = _line(file)
        if line == _ENDS:
            break
        if ended:
            raise BundleProblem(f"entry {seq}: no comma follows, and more does")
        seq += 1
        entry = _entry(head.job, line, seq)
        ended = not line.endswith(b",\n")
        if problem := broken_at(entry, seq, previous):
            raise BundleProblem(problem)
        if problem := problem_of(entry):
            raise BundleProblem(f"{head.job}: entry {seq} ({entry.kind}): {problem}")
        previous = entry.hash
        if seq > after:
            yield entry
    if file.read(1):
        raise BundleProblem("goes on behind its end")
    if previous != head.head:
        raise BundleProblem(f"{head.job}: the newest entry is not the head that it names: it was cut")


def _entry(job: str, line: bytes, seq: int) -> Entry:
    where = f"{job}: entry {seq}"
    told = _value(line.removesuffix(b"\n").removesuffix(b","), where)
    if not isinstance(told, dict) or set(told) != _KEYS:
        raise BundleProblem(f"{where}: expected {', '.join(sorted(_KEYS))}")
    # What is no float would be another number once it is stored, and another hash.
    typed = isinstance(told["monotonic"], float) and type(told["seq"]) is int and isinstance(told["body"], dict)
    if not typed or not all(isinstance(told[key], str) for key in ("kind", "at", "previous", "hash")):
        raise BundleProblem(f"{where}: a field is of the wrong kind")
    if told["seq"] != seq:
        raise BundleProblem(f"{where} is missing")
    if _KIND.fullmatch(told["kind"]) is None:
        raise BundleProblem(f"{where}: its kind is none, expected small letters and blanks, at most 20")
    if not _is_utc(told["at"]):
        raise BundleProblem(f"{where}: at: expected a time in UTC, ISO 8601, from 2000 to 2200")
    return Entry(job, seq, told["kind"], told["at"], told["monotonic"], told["body"], told["previous"], told["hash"])


def _is_utc(at: str) -> bool:
    try:
        told = datetime.fromisoformat(at)
    except ValueError:
        return False
    return len(at) <= 40 and told.utcoffset() == timedelta(0) and 2000 <= told.year <= 2200


def _line(file: IO[bytes]) -> bytes:
    line = file.readline(LONGEST_LINE + 1)
    if len(line) > LONGEST_LINE:
        raise BundleProblem(f"has a line of more than {LONGEST_LINE} bytes")
    if not line.endswith(b"\n"):
        raise BundleProblem("is cut")
    return line


def _value(text: bytes, where: str) -> Any:
    try:
        return strict_json(text)
    except NotStrict as problem:
        raise BundleProblem(f"{where} {problem}") from None
