"""How turns per volt came to be known: what each entry of the record made of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from bench.sitting.problems import BadInput
from bench.sitting.survey_known import KnownSoFar
from bench.survey.gathered import AS_FOUND, STRIPPED, gather
from bench.survey.interval import Interval

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job
    from bench.records.entry import Entry

__all__ = ["AfterEntry", "how_it_tightened"]


@dataclass(frozen=True)
class AfterEntry:
    """what: was entered, in a few words;  turns_per_volt: as they were known after it."""

    what: str
    turns_per_volt: Interval


def how_it_tightened(
    job: Job, entries: Sequence[Entry], bench: BenchFile, rules: dict[str, Any], most: int = 6
) -> tuple[AfterEntry, ...]:
    """The last `most` of those after which turns per volt were known, and known otherwise; oldest first.

    Worked out from the newest back, since each takes a tenth of a second.
    """
    told = [(one.kind, one.body) for one in entries if one.kind in (AS_FOUND, STRIPPED)]
    found: list[AfterEntry] = []
    newer: Interval | None = None
    for end in range(len(told), -1, -1):
        per_volt = _after(job, told[:end], bench, rules)
        if per_volt is None:
            break
        what = _words(*told[end - 1]) if end else "job file"
        if newer is not None and per_volt == newer:
            # The entry that the newer one names changed nothing: this one has as much to say.
            found.pop()
        found.append(AfterEntry(what, per_volt))
        newer = per_volt
        if len(found) > most:
            found.pop()
            break
    return tuple(reversed(found))


def _after(job: Job, told: Sequence[tuple[str, Any]], bench: BenchFile, rules: dict[str, Any]) -> Interval | None:
    try:
        survey = KnownSoFar(job, gather(job.as_found, told), bench, rules, curve=False).survey
    except BadInput:
        return None
    return None if survey is None else survey.turns_per_volt


def _words(kind: str, body: Any) -> str:
    winding = str(body.get("winding") or body.get("name") or body.get("fed") or "")
    if kind == STRIPPED:
        return f"{winding} off, {float(body['turns']):g} turns"
    if "withdrawn" in body:
        return f"{body.get('part')} of {winding} withdrawn"
    value = body.get("voltage") or body.get("resistance") or body.get("current") or ""
    return f"{winding} {value}".strip()
