"""The user's folders; TURNPROOF_HOME puts them all in one place."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from pathlib import Path

import platformdirs

__all__ = ["bench_file_path", "data_folder", "lock_folder", "log_folder", "store_path", "window_file_path"]

_NAME = "turnproof"


def _folder(under_home: str, usual: Callable[..., str]) -> Path:
    home = os.environ.get("TURNPROOF_HOME")
    folder = Path(home).expanduser() / under_home if home else Path(usual(_NAME, appauthor=False))
    with contextlib.suppress(OSError):  # whoever opens a file there says what is wrong with it
        folder.mkdir(parents=True, exist_ok=True)
    return folder


def data_folder() -> Path:
    """Where records are kept."""
    return _folder("data", platformdirs.user_data_dir)


def log_folder() -> Path:
    """Where the rotating log is kept."""
    return _folder("log", platformdirs.user_log_dir)


def lock_folder() -> Path:
    """Where it is noted who holds a job."""
    return _folder("locks", platformdirs.user_state_dir)


def store_path() -> Path:
    """The SQLite file of records."""
    return data_folder() / "records.sqlite"


def bench_file_path() -> Path:
    """The bench file that is read when none is named."""
    return _folder("config", platformdirs.user_config_dir) / "bench.toml"


def window_file_path() -> Path:
    """What the window remembers of itself."""
    return _folder("config", platformdirs.user_config_dir) / "window.toml"
