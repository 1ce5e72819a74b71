"""Job files that a person may mean: those that lie here, and those that the record names."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from bench.records.entry import Kind

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["job_files"]

_LARGEST = 1_000_000  # bytes, as for any job file
_MOST = 60


def job_files(store: Store, folders: tuple[Path, ...]) -> tuple[str, ...]:
    """Paths of job files in `folders`, those that the record knows first; raises RecordProblem.

    The record has the names of files and not their places: a known one is looked for in the same folders.
    """
    names = {str(entry.body.get("file", "")) for entry in store.newest(Kind.JOB_FILE).values()}
    found = [path for folder in dict.fromkeys(folders) for path in _jobs_in(folder)]
    known = [path for path in found if path.name in names]
    return tuple(str(path) for path in (*known, *(one for one in found if one not in known)))


def _jobs_in(folder: Path) -> list[Path]:
    try:
        files = sorted(folder.glob("*.toml"))[:_MOST]
    except OSError:
        return []
    return [path for path in files if _is_job(path)]


def _is_job(path: Path) -> bool:
    try:
        return path.stat().st_size <= _LARGEST and "[identity]" in path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return False
