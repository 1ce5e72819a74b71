"""A record that is only read: nothing is prepared, raised or written, so that one on a read-only disk serves, too."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, text
from sqlalchemy.exc import SQLAlchemyError

from bench.records.problem import RecordProblem
from bench.records.reader import Records, reason_of
from bench.records.schema import VERSION

__all__ = ["ReadOnlyRecords"]


class ReadOnlyRecords(Records):
    """Raises RecordProblem for a file that is not there, is no record, or is one of a newer program."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.where = str(path)
        if not path.is_file():
            raise RecordProblem(f"{path}: no record yet, expected one that `turnproof test` or `wind` kept")
        try:
            self._engine, self._connection = _opened(path)
            version = int(self._connection.exec_driver_sql("PRAGMA user_version").scalar_one())
            self._connection.rollback()
        except SQLAlchemyError as error:
            raise RecordProblem(f"{path}: the record can't be read: {reason_of(error)}") from error
        if version > VERSION:
            self.close()
            raise RecordProblem(f"{path}: record version {version} is newer than this program, expected {VERSION}")

    def close(self) -> None:
        self._connection.close()
        self._engine.dispose()

    def __enter__(self) -> ReadOnlyRecords:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _opened(path: Path) -> tuple[Engine, Connection]:
    """With what stands only in its write-ahead log.

    Without a log nobody has the record open, and it is read as a file that stands still: SQLite would make a log and
    its index beside it, for which a read-only folder has no place.
    """
    log = path.with_name(f"{path.name}-wal")
    return _connected(path, "mode=ro" if log.exists() else "immutable=1")


def _connected(path: Path, how: str) -> tuple[Engine, Connection]:
    engine = create_engine(f"sqlite:///file:{quote(str(path.resolve()))}?{how}&uri=true")
    try:
        connection = engine.connect()
        try:
            connection.execute(text("SELECT count(*) FROM sqlite_master"))
            connection.rollback()
        except BaseException:
            connection.close()
            raise
    except BaseException:
        engine.dispose()
        raise
    return engine, connection
