"""The limits that a test judges by: a shipped table, or a workshop's own over it, each with its basis."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Any

from bench.job.file import FileProblem, read_table
from bench.job.profiles import known, load_table

__all__ = ["rules_of"]

_BASE = "small-mains"
_APART = ("schema", "name", "over")


def rules_of(named: str, beside: Path | None = None) -> dict[str, Any]:
    """The limits of a shipped table by its name, or of a workshop's own file.

    A file (a name that ends in .toml, beside the file that names it) holds only what differs from the shipped table
    that its key `over` names, `small-mains` where it names none; a table with another limit says its own basis. Raises
    FileProblem with every problem at once.
    """
    if not named.endswith(".toml"):
        if named not in known("limits"):
            raise FileProblem([f"rules: {named!r}, expected one of {', '.join(known('limits'))}, or a .toml file"])
        return load_table("limits", named)
    path = (beside or Path()) / named
    own = read_table(path)
    over = own.get("over", _BASE)
    if over not in known("limits"):
        raise FileProblem([f"{path}: over: {over!r}, expected one of {', '.join(known('limits'))}"])
    usual = load_table("limits", str(over))
    problems = [] if own.get("schema") == 1 else [f"{path}: schema: {own.get('schema')!r}, expected schema = 1"]
    merged: dict[str, Any] = {**usual, "name": own.get("name", usual.get("name", ""))}
    for name, table in own.items():
        if name in _APART:
            continue
        if not isinstance(usual.get(name), dict):
            problems.append(f"{path}: {name}: unknown table{_near(name, usual)}")
        elif not isinstance(table, dict):
            problems.append(f"{path}: {name}: {table!r}, expected a table of limits")
        else:
            problems += _problems(f"{path}: {name}", table, usual[name])
            merged[name] = {**usual[name], **table}
    if problems:
        raise FileProblem(problems)
    return merged


def _problems(where: str, table: dict[str, Any], usual: dict[str, Any]) -> list[str]:
    problems = []
    for key, value in table.items():
        if key not in usual:
            problems.append(f"{where}.{key}: unknown key{_near(key, usual)}")
        elif not _alike(value, usual[key]):
            problems.append(f"{where}.{key}: {value!r}, expected {_kind(usual[key])}")
    changed = [key for key in table if "basis" not in key and key in usual and table[key] != usual[key]]
    bases = [key for key in usual if "basis" in key]
    if changed and bases and not any(str(table.get(key, "")).strip() for key in bases):
        problems.append(f"{where}: {', '.join(changed)} without {bases[0]}, expected where the limit comes from")
    return problems


def _alike(value: Any, usual: Any) -> bool:
    if isinstance(usual, str) or isinstance(value, (str, bool)):
        return isinstance(value, str) and isinstance(usual, str)
    if isinstance(usual, list):
        return isinstance(value, list) and bool(value) and all(_alike(one, usual[0]) for one in value)
    if isinstance(usual, dict):
        return isinstance(value, dict)
    return isinstance(value, (int, float)) and value >= 0


def _kind(usual: Any) -> str:
    if isinstance(usual, str):
        return "text in quotes"
    return "a list of numbers" if isinstance(usual, list) else "a number of 0 or more"


def _near(key: str, known_keys: dict[str, Any]) -> str:
    names = [name for name in known_keys if name not in _APART]
    close = difflib.get_close_matches(key, names, n=1, cutoff=0.6)
    return f", did you mean {close[0]!r}?" if close else f", expected one of {', '.join(names)}"
