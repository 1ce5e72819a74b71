"""Two windings that one reading names, as in `sum:ht-heater`."""

from __future__ import annotations

from collections.abc import Collection

__all__ = ["pair_of"]


def pair_of(name: str, known: Collection[str]) -> tuple[str, str] | None:
    """Both names of `one-other`, None where they are not known: a name may have hyphens of its own."""
    parts = name.split("-")
    for cut in range(1, len(parts)):
        one, other = "-".join(parts[:cut]).strip(), "-".join(parts[cut:]).strip()
        if one in known and other in known and one != other:
            return one, other
    return None
