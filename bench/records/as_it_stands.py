"""A record that may not be written, or has no room to be: read as it stands, without a file beside it."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import create_engine
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from bench.records.entry import Entry, Kind
from bench.records.log_end import log_of, log_size
from bench.records.newest import NewestLines
from bench.records.problem import RecordProblem
from bench.records.reader import reason_of
from bench.records.reasons import may_not_be_written
from bench.records.schema import VERSION
from bench.records.store import Store

__all__ = ["StoreAsItStands", "can_only_be_read"]

_NOT_ALLOWED = (errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOSPC, errno.EDQUOT)


def can_only_be_read(path: Path, problem: RecordProblem) -> bool:
    """Whether what kept `path` from being opened is that nothing may be, or can be, written there."""
    if not os.access(path, os.R_OK):
        return False
    cause: BaseException | None = problem
    while cause is not None:
        if isinstance(cause, DBAPIError) and isinstance(cause.orig, BaseException):
            cause = cause.orig
        if may_not_be_written(cause) or (isinstance(cause, OSError) and cause.errno in _NOT_ALLOWED):
            return True
        cause = cause.__cause__
    return False


class StoreAsItStands(Store):
    """Of any version up to this one.  Nothing can be appended.

    Nothing is made beside it, as an ordinary opening would: what a reader leaves there may lock out whoever owns it.
    Where its log holds entries, a copy of both is read.  why: it can't be opened to be written;  tell: is told so at
    the end.
    """

    def __init__(self, path: Path, why: RecordProblem, tell: Callable[[str], None] = lambda line: None) -> None:
        self.path, self.where = path, str(path)
        self.said = ()
        self.newest_lines = NewestLines(path)
        self._why, self._tell = str(why).removeprefix(f"{path}: ").removeprefix("the record can't be opened: "), tell
        self._told = False
        self._copy: tempfile.TemporaryDirectory[str] | None = None
        try:
            uri = f"file:{quote(str(path.absolute()))}?mode=ro&immutable=1"
            if log_size(path):
                self._copy = tempfile.TemporaryDirectory(prefix="turnproof-")
                copied = Path(shutil.copyfile(path, Path(self._copy.name) / path.name))
                shutil.copyfile(log_of(path), log_of(copied))
                uri = f"file:{quote(str(copied))}"
            self._engine = create_engine(
                "sqlite://", creator=lambda: sqlite3.connect(uri, uri=True, check_same_thread=False)
            )
            self._connection = self._engine.connect()
            version = self._connection.exec_driver_sql("PRAGMA user_version").scalar_one()
            self._connection.rollback()
        except (SQLAlchemyError, OSError) as error:
            self._put_away()
            raise RecordProblem(f"{path}: the record can't be read: {reason_of(error)}") from error
        if not 0 < version <= VERSION:
            self.close()
            if version == 0:  # it was not made whole, and there is nothing in it
                raise why
            raise RecordProblem(f"{path}: record version {version}, expected 1 to {VERSION}")

    def append(self, job: str, kind: Kind, body: dict[str, Any]) -> Entry:
        """Raises RecordProblem."""
        raise self._refused()

    def take(self, entries: Iterable[Entry]) -> int:
        """Raises RecordProblem."""
        raise self._refused()

    def close(self) -> None:
        self._connection.close()
        self._engine.dispose()
        self._put_away()
        if not self._told:
            self._tell(f"{self.path}: read as it stands, nothing can be stored: {self._why}")

    def _refused(self) -> RecordProblem:
        self._told = True  # by this, and not once more at the end
        return RecordProblem(f"{self.path}: not stored: {self._why}")

    def _put_away(self) -> None:
        if self._copy is not None:
            self._copy.cleanup()
