"""Where the shipped data tables are, how one is read, and how those that a record keeps stand in their place."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

__all__ = ["KeptTables", "TableName", "example_job", "in_place", "known", "load_table", "profile_folder", "table_text"]

TableName = tuple[str, str]
"""Kind and name of a table, such as ("steels", "m530-50a")."""


class ProfileMissing(ValueError):
    """No shipped table has this name; the message lists those that exist."""


@dataclass
class KeptTables:
    """Tables as they were once: their texts, by kind and name.

    before_shipped: whether they go before the shipped ones, or stand only for those that do not ship any more.  What
    was taken from where meanwhile: stood_in, kept ones in the place of none;  not_kept, shipped ones where a kept one
    was wanted.
    """

    texts: Mapping[TableName, str]
    before_shipped: bool
    stood_in: set[TableName] = field(default_factory=set)
    not_kept: set[TableName] = field(default_factory=set)

    def text(self, kind: str, name: str) -> str | None:
        """None where the shipped one is to be taken."""
        kept = self.texts.get((kind, name))
        ships = name in _shipped_names(kind)
        if kept is None:
            if self.before_shipped and ships:
                self.not_kept.add((kind, name))
            return None
        if self.before_shipped or not ships:
            if not ships:
                self.stood_in.add((kind, name))
            return kept
        return None


_in_place: ContextVar[KeptTables | None] = ContextVar("tables in place", default=None)


@contextmanager
def in_place(tables: KeptTables) -> Iterator[None]:
    """Whatever reads a table meanwhile, in this thread, is given these."""
    before = _in_place.set(tables)
    try:
        yield
    finally:
        _in_place.reset(before)


def profile_folder(kind: str) -> Path:
    """Folder of one kind of data (`steels`, `laminations`, `wires`, `limits`, `jobs`).

    In an installed wheel it lies inside the package; in a checkout, beside it.
    """
    package = Path(__file__).resolve().parent.parent
    installed = package / "profiles" / kind
    return installed if installed.is_dir() else package.parent / "profiles" / kind


def known(kind: str) -> list[str]:
    """Names of the tables of one kind."""
    kept = _in_place.get()
    names = _shipped_names(kind)
    return names if kept is None else sorted({*names, *(name for which, name in kept.texts if which == kind)})


def load_table(kind: str, name: str) -> dict[str, Any]:
    """One data table; raises ProfileMissing with the names that exist."""
    return _parsed(table_text(kind, name))


def table_text(kind: str, name: str) -> str:
    """The same as it stands in its file."""
    kept = _in_place.get()
    text = None if kept is None else kept.text(kind, name)
    return _shipped_text(kind, name) if text is None else text


@lru_cache(maxsize=16)
def _shipped_names(kind: str) -> list[str]:
    return sorted(path.stem for path in profile_folder(kind).glob("*.toml"))


@lru_cache(maxsize=64)
def _shipped_text(kind: str, name: str) -> str:
    path = profile_folder(kind) / f"{name}.toml"
    if not name.replace("-", "").replace("_", "").isalnum() or not path.is_file():
        raise ProfileMissing(f"{name!r} is not among the {kind}, expected one of {', '.join(known(kind))}")
    return path.read_text(encoding="utf-8")


@lru_cache(maxsize=64)
def _parsed(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def example_job(name: str) -> Path:
    """Path of a shipped example job."""
    path = profile_folder("jobs") / f"{name}.toml"
    if not path.is_file():
        raise ProfileMissing(f"{name!r} is not among the example jobs, expected one of {', '.join(known('jobs'))}")
    return path
