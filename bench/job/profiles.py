"""Where the shipped data tables are, and how one is read."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

__all__ = ["example_job", "known", "load_table", "profile_folder"]


class ProfileMissing(ValueError):
    """No shipped table has this name; the message lists those that exist."""


def profile_folder(kind: str) -> Path:
    """Folder of one kind of data (`steels`, `laminations`, `wires`, `limits`, `jobs`).

    In an installed wheel it lies inside the package; in a checkout, beside it.
    """
    package = Path(__file__).resolve().parent.parent
    installed = package / "profiles" / kind
    return installed if installed.is_dir() else package.parent / "profiles" / kind


@lru_cache(maxsize=8)
def known(kind: str) -> list[str]:
    """Names of the shipped tables of one kind."""
    return sorted(path.stem for path in profile_folder(kind).glob("*.toml"))


@lru_cache(maxsize=64)
def load_table(kind: str, name: str) -> dict[str, Any]:
    """One shipped data table; raises ProfileMissing with the names that exist."""
    path = profile_folder(kind) / f"{name}.toml"
    if not name.replace("-", "").replace("_", "").isalnum() or not path.is_file():
        raise ProfileMissing(f"{name!r} is not among the {kind}, expected one of {', '.join(known(kind))}")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def example_job(name: str) -> Path:
    """Path of a shipped example job."""
    path = profile_folder("jobs") / f"{name}.toml"
    if not path.is_file():
        raise ProfileMissing(f"{name!r} is not among the example jobs, expected one of {', '.join(known('jobs'))}")
    return path
