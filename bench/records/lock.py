"""One writer for each active job: whoever comes second is told who holds it."""

from __future__ import annotations

import os
from pathlib import Path
from types import TracebackType

__all__ = ["JobHeld", "JobLock"]


class JobHeld(Exception):
    """Another program works on this job; the text says which."""


class JobLock:
    """Held while a command counts or tests for a job; freed by the system when its process ends, however it ends."""

    def __init__(self, folder: Path, job: str, doing: str) -> None:
        self._path = folder / f"{job}.lock"
        self._job = job
        self._doing = doing
        self._file: int | None = None

    def __enter__(self) -> JobLock:
        self._file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _lock(self._file)
        except OSError:
            holder = os.pread(self._file, 200, 0).decode(errors="replace") if hasattr(os, "pread") else ""
            os.close(self._file)
            self._file = None
            raise JobHeld(f"job {self._job} is held by {holder.strip() or 'another program'}") from None
        os.ftruncate(self._file, 0)
        os.write(self._file, f"process {os.getpid()} (turnproof {self._doing})\n".encode())
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._file is not None:
            os.close(self._file)
            self._file = None


def _lock(file: int) -> None:
    try:
        import fcntl
    except ImportError:  # Windows
        import msvcrt

        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
    else:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
