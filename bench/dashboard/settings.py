"""What the window remembers of itself from one day to the next."""

from __future__ import annotations

import logging
import tomllib

from bench.dashboard.parts.theme import Theme
from bench.records.home import window_file_path

__all__ = ["keep_theme", "kept_theme"]

_log = logging.getLogger(__name__)


def kept_theme() -> Theme | None:
    """What was chosen; None where nothing was, and for a file that can't be read: the window opens all the same."""
    path = window_file_path()
    try:
        return Theme(tomllib.loads(path.read_text(encoding="utf-8"))["theme"])
    except (FileNotFoundError, KeyError):
        return None
    except (OSError, ValueError, TypeError) as problem:
        _log.warning("%s: passed over: %s", path, problem)
        return None


def keep_theme(theme: Theme | None) -> str:
    """None for the system's own.  What is wrong where it could not be kept; empty where it was."""
    path = window_file_path()
    try:
        if theme is None:
            path.unlink(missing_ok=True)
        else:
            path.write_text(f'theme = "{theme}"\n', encoding="utf-8")
    except OSError as problem:
        return f"{path}: not kept for the next time: {problem.strerror or problem}"
    return ""
