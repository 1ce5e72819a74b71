"""What a bench has and the server lacks, sent there; and what the server has of a job and the bench lacks, fetched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bench.records.attachments import attachments_folder
from bench.records.contents import keep_content, read_content
from bench.records.entry import ATTACHED, Entry

if TYPE_CHECKING:
    from collections.abc import Callable

    from bench.records.server.server import Server
    from bench.records.store import Store

__all__ = ["Fetched", "fetch_job", "forward_job", "jobs_to_forward"]

_BATCH = 500
"""Entries of one transaction: what a server that goes away in the middle costs."""


def jobs_to_forward(store: Store, server: Server) -> list[str]:
    """Jobs whose newest entry the server does not have."""
    heads = {job: store.head(job) for job in store.jobs()}  # and no body, of which one may be damaged
    there = server.has(heads.values()) if heads else set()
    return [job for job, head in heads.items() if head not in there]


def forward_job(store: Store, server: Server, job: str, told: Callable[[int], None] = lambda new: None) -> int:
    """Send what the server lacks of a job, pictures before the entries that name them; how many entries were new.

    told: of each batch, how many.  May be broken off anywhere and done again.
    """
    after, sent = _known_up_to(store, server, job), 0
    while True:
        entries = store.after(job, after, _BATCH)
        if not entries:
            return sent
        _forward_contents(store, server, entries)
        new = server.take(entries)
        told(new)
        sent += new
        after = entries[-1].seq


@dataclass(frozen=True)
class Fetched:
    """new: entries that other benches kept and are here now;  apart: what is told where the job was gone on with at two
    benches at once, empty where it was not."""

    new: int = 0
    apart: str = ""


def fetch_job(store: Store, server: Server, job: str) -> Fetched:
    """Bring the bench's own record of a job up to what the server has of it.

    What is here and not there stays; where both have entries that the other lacks, nothing is mixed.
    """
    courses = server.courses(job)
    missing = [one for one in courses if not store.holds(job, one.newest)]
    new = 0
    for course in missing:
        entries = server.entries_of_course(job, course.number, store.count(job))
        # Only what follows our own newest entry can be added to it.
        if entries and entries[0].previous == store.head(job):
            _fetch_contents(store, server, entries)
            new = store.take(entries)
            break
    apart = [one for one in missing if not store.holds(job, one.newest)]
    if not apart:
        return Fetched(new)
    other = apart[0]
    return Fetched(new, f"{job}: bench {other.bench} went on with it, too, without what was kept here; both are kept")


def _known_up_to(store: Store, server: Server, job: str) -> int:
    """Seq of the newest entry of the bench that the server has; 0 for none.

    Halving, since what comes before an entry that the server has is there as well.
    """
    low, high = 0, store.count(job)
    while low < high:
        middle = (low + high + 1) // 2
        entries = store.after(job, middle - 1, 1)
        if entries and server.has([entries[0].hash]):
            low = middle
        else:
            high = middle - 1
    return low


def _forward_contents(store: Store, server: Server, entries: list[Entry]) -> None:
    named = {str(one.body.get("sha256")): one for one in entries if one.kind in ATTACHED}
    for digest in server.lacks_contents(named):
        data = read_content(attachments_folder(store.path), named[digest].body)
        if data is not None:
            server.keep_content(data)


def _fetch_contents(store: Store, server: Server, entries: list[Entry]) -> None:
    for entry in entries:
        if entry.kind in ATTACHED:
            data = server.content(str(entry.body.get("sha256")))
            if data is not None:
                keep_content(attachments_folder(store.path), entry.body, data)
