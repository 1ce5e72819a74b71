"""A file that a person asked for: written beside its place first, so that one that is there stays whole."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from bench.sitting.problems import BadInput

__all__ = ["must_be_free", "whole_file", "write_whole"]

_NEW_FILE = 0o644


def must_be_free(path: Path, *, over: bool) -> None:
    """Raises BadInput for a file that is there, or a folder that is not, so that nothing is done in vain."""
    place = path.resolve()
    if not over and place.exists():
        raise BadInput(f"{path}: is there already, and was not asked to be written over")
    if not place.parent.is_dir():
        raise BadInput(f"{path}: can't be written: no such folder")


def write_whole(path: Path, contents: str | bytes, *, over: bool) -> Path:
    """Where it was written.  over: whether it may take the place of a file that is there.

    Raises BadInput; what was there is then as it was.
    """
    with whole_file(path, over=over) as out:
        out.write(contents.encode() if isinstance(contents, str) else contents)
    return path.resolve()


@contextlib.contextmanager
def whole_file(path: Path, *, over: bool) -> Iterator[IO[bytes]]:
    """To be written piece by piece; it has its name once all of it is written, else nothing is left of it."""
    place = path.resolve()
    must_be_free(path, over=over)
    beside = ""
    try:
        handle, beside = tempfile.mkstemp(dir=place.parent, prefix=f".{place.name}.", suffix=".new")
        with os.fdopen(handle, "w+b") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        with contextlib.suppress(OSError):
            os.chmod(beside, place.stat().st_mode & 0o777 if place.exists() else _NEW_FILE)
        os.replace(beside, place)
        beside = ""
    except OSError as problem:
        raise BadInput(f"{path}: can't be written: {problem.strerror}") from None
    finally:
        if beside:
            with contextlib.suppress(OSError):
                os.unlink(beside)
