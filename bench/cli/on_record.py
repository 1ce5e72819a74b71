"""The record, open for a command, and the number of the job that is meant."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from bench.sitting.problems import BadInput, InstrumentTrouble
from bench.sitting.told import TOLD

if TYPE_CHECKING:
    from bench.records.reader import Records
    from bench.records.store import Store

__all__ = ["number_on_record", "opened", "record_open", "record_to_read", "record_to_search"]

R = TypeVar("R")


def record_open() -> AbstractContextManager[Store]:
    """The bench's own record; what is wrong with it ends the command as trouble of an instrument does."""
    from bench.sitting.opening import open_store

    return opened(open_store)


@contextmanager
def opened(opening: Callable[[], AbstractContextManager[R]]) -> Iterator[R]:
    """A record, wherever it is; what is wrong with it ends the command as trouble of an instrument does."""
    from bench.records.problem import RecordProblem

    try:
        with opening() as records:
            yield records
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def record_to_read() -> AbstractContextManager[Records]:
    """The same for a command that writes nothing, not even where the record is of an older version."""
    from bench.records.home import store_path
    from bench.records.read_only import ReadOnlyRecords

    return opened(lambda: ReadOnlyRecords(store_path()))


@contextmanager
def record_to_search(on_server: bool, doing: str) -> Iterator[Records | None]:
    """The workshop's, or the bench's own: with its index brought up to date, or only read where it can't be written;
    None where there is none yet."""
    from bench.records.home import store_path
    from bench.records.problem import RecordProblem
    from bench.records.store import Store
    from bench.sitting.shared_records import the_server

    if on_server:
        with opened(lambda: the_server(doing)) as server:
            yield server
        return
    path = store_path()
    if not path.is_file() and path.parent.is_dir():
        yield None
        return

    def own() -> AbstractContextManager[Records]:
        if not path.is_file():
            return Store(path)  # its folder can't be made, which is told
        try:
            return Store(path) if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK) else _to_read(path)
        except RecordProblem:
            return _to_read(path)

    with opened(own) as records:
        for line in getattr(records, "said", ()):
            TOLD.warning(line)
        yield records


def _to_read(path: Path) -> AbstractContextManager[Records]:
    from bench.records.read_only import ReadOnlyRecords

    return ReadOnlyRecords(path)


def number_on_record(store: Records, job: str) -> str:
    """job: a job file, or the number of a job.  Raises BadInput for one that has no record."""
    from bench.sitting.opening import open_job

    path = Path(job)
    number = open_job(path).identity.number if path.suffix == ".toml" or path.is_file() else job
    if not store.count(number):
        raise BadInput(f"{number}: no record, expected one of {', '.join(store.jobs()) or 'none yet'}")
    return number
