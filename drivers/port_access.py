"""Who may open a device, and who has it open now."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Holder", "denied_advice", "group_of", "holder_of"]


@dataclass(frozen=True, slots=True)
class Holder:
    """A process that has a device open."""

    pid: int
    program: str

    def __str__(self) -> str:
        if self.pid == os.getpid():
            return f"this program itself (process {self.pid})"
        return f"{self.program} (process {self.pid})"


def group_of(device: str) -> str | None:
    """Name of the group that owns the device; None where that can't be told."""
    try:
        import grp

        return grp.getgrgid(os.stat(device).st_gid).gr_name
    except (ImportError, OSError, KeyError):
        return None


def denied_advice(device: str) -> str:
    """What to do about a missing permission, in one clause."""
    group = group_of(device)
    if group is None:
        return "ask the owner of this machine for access to it"
    return f"it belongs to the group {group}: run `sudo usermod -aG {group} $USER`, then log out and in again"


def holder_of(device: str) -> Holder | None:
    """The process that has the device open, as far as this user may see (Linux); other processes first."""
    try:
        wanted = os.stat(device).st_rdev
        processes = [int(entry) for entry in os.listdir("/proc") if entry.isdigit()]
    except OSError:
        return None
    own = os.getpid()
    for pid in sorted(processes, key=lambda each: each == own):
        if _has_open(pid, wanted):
            return Holder(pid, _program_of(pid))
    return None


def _has_open(pid: int, device_number: int) -> bool:
    folder = f"/proc/{pid}/fd"
    try:
        descriptors = os.listdir(folder)
    except OSError:
        return False
    for descriptor in descriptors:
        try:
            target = os.stat(f"{folder}/{descriptor}")
        except OSError:
            continue
        if device_number and target.st_rdev == device_number:
            return True
    return False


def _program_of(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/comm").read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return "a program"
