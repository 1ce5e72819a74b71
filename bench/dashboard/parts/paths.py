"""Paths as a person types or drops them, and the files that are offered for them."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote

__all__ = ["path_typed", "pictures_near"]

_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".bmp", ".gif", ".tif", ".tiff", ".heic")
_MOST = 200


def path_typed(text: str) -> Path | None:
    """Without the marks that a terminal or a file manager puts round it; None for nothing."""
    plain = text.strip().strip("'\"")
    if plain.startswith("file://"):
        plain = unquote(plain.removeprefix("file://"))
    return Path(plain).expanduser() if plain else None


def pictures_near(*folders: Path) -> tuple[str, ...]:
    """Paths of picture files in these folders, newest first; reads the disk."""
    found: dict[str, float] = {}
    for folder in folders:
        try:
            for one in folder.iterdir():
                if one.suffix.lower() in _PICTURES and one.is_file():
                    found[str(one)] = one.stat().st_mtime
        except OSError:
            continue
    return tuple(sorted(found, key=lambda path: -found[path])[:_MOST])
