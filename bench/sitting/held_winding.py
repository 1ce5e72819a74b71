"""A winding of a job, held for one go: the job's lock, the record open, and the job's file kept in it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bench.job.model import Job
from bench.records.entry import Kind
from bench.sitting.opening import open_store, take_job_lock
from bench.sitting.winding_record import WindingRecord

__all__ = ["held_winding"]


@contextmanager
def held_winding(path: Path, job: Job, name: str, *, again: bool, start: float | None) -> Iterator[WindingRecord]:
    """Its record.  again, start: as for `WindingRecord.may_begin`.

    Raises BadInput, InstrumentTrouble or RecordProblem.
    """
    with take_job_lock(job, "wind"), open_store() as store:
        record = WindingRecord(store, job.identity.number, name)
        record.may_begin(again=again, start=start)
        text = path.read_text(encoding="utf-8")
        store.append(job.identity.number, Kind.JOB_FILE, {"file": path.name, "text": text})
        yield record
