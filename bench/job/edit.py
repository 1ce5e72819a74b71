"""Write a design into a person's job file: only what changed, comments and order kept, never over a newer one."""

from __future__ import annotations

import contextlib
import os
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import cast

import tomlkit
from tomlkit.items import AoT, Table

from bench.job.file import FileProblem, model_from
from bench.job.model import Job

__all__ = ["Value", "write_values", "write_windings"]

Value = str | int | float | list[str] | None


def write_windings(path: Path, read: str, job: Job) -> str:
    """Turns, wire, strands and taps of `job` into the file at `path`, whose text was `read` when the job was read.

    Returns the new text.  The file is replaced whole or not at all.  Raises FileProblem where it changed meanwhile or
    can't be written.
    """
    document = tomlkit.parse(_unchanged(path, read))
    tables = document.get("winding")
    if not isinstance(tables, AoT):
        raise FileProblem([f"{path}: winding: expected [[winding]] tables to write into"])
    for table in tables:
        _into(table, str(table["name"]), job)
    _in_order(tables, [one.name for one in job.winding])
    text = tomlkit.dumps(document)
    _replace(path, text)
    return text


def write_values(
    path: Path,
    read: str,
    targets: Mapping[str, Value] | None = None,
    windings: Mapping[str, Mapping[str, Value]] | None = None,
    loads: Mapping[str, Mapping[str, Value]] | None = None,
) -> str:
    """Keys of [targets], of [[winding]] by name and of [[load]] by winding, into the file at `path`, whose text was
    `read`; None takes a key out.  The rest, comments too, stays as it is.

    Returns the new text.  The file is replaced whole or not at all.  Raises FileProblem where it changed meanwhile,
    can't be written, or would be no job any more.
    """
    document = tomlkit.parse(_unchanged(path, read))
    if targets:
        if "targets" not in document:
            document["targets"] = tomlkit.table()
        _set(cast(Table, document["targets"]), targets)
    for kind, named_by, changes in (("winding", "name", windings), ("load", "winding", loads)):
        for name, values in (changes or {}).items():
            table = next((one for one in document.get(kind, []) if str(one.get(named_by)) == name), None)
            if table is None:
                raise FileProblem([f"{path}: {kind} {name!r}: not there, expected one of its [[{kind}]] tables"])
            _set(table, values)
    text = tomlkit.dumps(document)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise FileProblem([f"{path}: can't be edited here ({problem}): change it by hand"]) from None
    model_from(path, data, Job)
    _replace(path, text)
    return text


def _set(table: Table, values: Mapping[str, Value]) -> None:
    for key, value in values.items():
        if value is None:
            table.pop(key, None)
        elif key in table or not list(table):
            table[key] = value
        else:
            # At the end it would stand below the comments that introduce the next table.
            table.value._insert_after(list(table)[-1], key, value)


def _unchanged(path: Path, read: str) -> str:
    """The file's text; raises FileProblem where it is not the one that was read."""
    try:
        now = path.read_text(encoding="utf-8")
    except OSError as problem:
        raise FileProblem([f"{path}: can't be read: {problem.strerror}"]) from None
    if now != read:
        raise FileProblem([f"{path}: was changed meanwhile, nothing was written: look at it and try again"])
    return now


def _in_order(tables: AoT, names: list[str]) -> None:
    """Windings stand in the order in which they lie; tables move only where that changed."""
    if [str(table["name"]) for table in tables] == names:
        return
    by_name = {str(table["name"]): table for table in tables}
    for number, name in enumerate(names):
        tables[number] = by_name[name]


def _into(table: Table, name: str, job: Job) -> None:
    winding = job.get_winding(name)
    assert winding.turns is not None
    assert winding.wire is not None
    said: dict[str, int | str] = {"turns": winding.turns, "wire": winding.wire.name}
    if winding.strands != 1 or "strands" in table:
        said["strands"] = winding.strands
    before = "role"
    for key, value in said.items():
        if key in table:
            table[key] = value
        else:
            # At the end it would stand below the comments that introduce the next table.
            table.value._insert_after(before, key, value)
        before = key
    for stale in ("layers", "mean_turn", "resistance"):
        # They were those of other turns.
        table.pop(stale, None)
    turns = {tap.name: tap.turn for tap in winding.taps}
    for tap in table.get("taps", []):
        tap["turn"] = turns[tap["name"]]


def _replace(path: Path, text: str) -> None:
    """Beside the file first, on the disk, then in its place; one that is read-only stays."""
    if not path.stat().st_mode & 0o222:
        raise FileProblem([f"{path}: can't be written: it is read-only; it is as it was"])
    try:
        handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".new")
    except OSError as problem:
        raise FileProblem([f"{path}: can't be written: {problem.strerror}"]) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        with contextlib.suppress(OSError):
            os.chmod(beside, path.stat().st_mode & 0o777)
        os.replace(beside, path)
    except OSError as problem:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise FileProblem([f"{path}: can't be written: {problem.strerror}; it is as it was"]) from None
