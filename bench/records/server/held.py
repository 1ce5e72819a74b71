"""A job that one bench works on: others are told which, while that bench is connected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import text

from bench.records.lock import JobHeld

if TYPE_CHECKING:
    from bench.records.server.server import Server

__all__ = ["hold_on_server"]

_SPACE = 0x7470
"""First half of the lock's key: that it is of a job."""
_TRY = "SELECT pg_try_advisory_lock(:space, hashtext(:job))"
_HOLDER = """
SELECT activity.application_name FROM pg_locks AS lock JOIN pg_stat_activity AS activity ON activity.pid = lock.pid
WHERE lock.locktype = 'advisory' AND lock.granted AND lock.objsubid = 2
  AND lock.database = (SELECT oid FROM pg_database WHERE datname = current_database())
  AND lock.classid::bigint = :space AND lock.objid::bigint = (hashtext(:job)::bigint & 4294967295)
"""


def hold_on_server(server: Server, job: str) -> None:
    """Held until the server is closed or its connection ends, however it ends.

    Raises JobHeld, which tells the bench and what it does, and RecordProblem.
    """
    key = {"space": _SPACE, "job": job}
    with server.asking() as connection:
        if connection.execute(text(_TRY), key).scalar_one():
            return
        holder = connection.execute(text(_HOLDER), key).scalar()
    doing, _, bench = str(holder or "").rpartition("@")
    raise JobHeld(f"job {job} is held by bench {bench or 'unknown'} ({doing or 'turnproof'})")
