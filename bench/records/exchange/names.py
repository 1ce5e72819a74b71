"""What a file in a bundle may be called: a few plain places, so that nothing can be written anywhere else."""

from __future__ import annotations

import re

__all__ = [
    "ATTACHMENTS",
    "JOB",
    "LINES",
    "MANIFEST",
    "PROFILES",
    "RECORD",
    "is_device",
    "name_problem",
    "number_problem",
]

MANIFEST, RECORD, JOB = "manifest.json", "record.json", "job.toml"
ATTACHMENTS, LINES, PROFILES = "attachments/", "lines/", "profiles/"

_PLACES = (
    re.compile(r"manifest\.json|record\.json|job\.toml"),
    re.compile(r"attachments/[0-9a-f]{64}(\.[a-z0-9]{1,8})?"),
    re.compile(r"lines/[A-Za-z][A-Za-z0-9._-]{0,99}\.jsonl"),
    re.compile(r"profiles/([a-z]{1,20}/)?[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.toml"),
)
_NUMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])", re.IGNORECASE)


def name_problem(name: str) -> str:
    """Why a file of a bundle can't be called so, in a few words; empty where it can."""
    if any(not one.isprintable() for one in name):
        return "its name holds signs that are not shown"
    if name.startswith("/") or re.match(r"[A-Za-z]:", name):
        return "its name is a place from the root of a disk"
    if "\\" in name:
        return "its name holds a backslash"
    if ".." in name.split("/"):
        return "its name leads out of the folder"
    if any(is_device(part) for part in name.split("/")):
        return "its name is that of a device"
    if not any(place.fullmatch(name) for place in _PLACES):
        return "a bundle has no such file"
    return ""


def number_problem(number: str) -> str:
    """Why a job can't have that number, which names its lock, its folder of lines and its record."""
    if _NUMBER.fullmatch(number) is None or number.endswith("."):
        return "expected letters, digits, '.', '_' and '-', at most 40, the first a letter or digit"
    return "it is the name of a device on some systems" if is_device(number) else ""


def is_device(part: str) -> bool:
    """Whether Windows takes a file of that name for a device, whatever stands behind its first point."""
    return _DEVICES.fullmatch(part.partition(".")[0].strip()) is not None
