"""Windings and their sections by name, as `ht.centre` is one of `ht`: what is open in the one is in the other."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["breaks", "explained", "section_of", "sections_of"]


def section_of(name: str, whole: str) -> bool:
    return name.startswith(f"{whole}.")


def sections_of(whole: str, names: Iterable[str]) -> list[str]:
    return [name for name in names if section_of(name, whole)]


def breaks(opened: str, name: str) -> bool:
    """Whether an open winding or section surely breaks `name`: itself, or the winding that it is a section of."""
    return bool(opened) and (opened == name or section_of(opened, name))


def explained(opened: str, name: str) -> bool:
    """Whether `name` may be dead because `opened` is open: a section that is breaks its whole winding, and a winding
    that is, somewhere, breaks one of its sections or more."""
    return breaks(opened, name) or (bool(opened) and section_of(name, opened))
