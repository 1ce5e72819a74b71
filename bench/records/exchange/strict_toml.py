"""TOML of somebody else: read only where reading it takes no longer than its size is worth."""

from __future__ import annotations

import re
import tomllib
from typing import Any

__all__ = ["strict_toml"]

_MOST_PARTS = 100
_BETWEEN = re.compile(r"[=\n,{]")


def strict_toml(text: str) -> dict[str, Any]:
    """Raises ValueError, also for a key of so many parts that the reader would take hours over it."""
    if any(part.count(".") > _MOST_PARTS for part in _BETWEEN.split(text)):
        raise ValueError(f"a key of more than {_MOST_PARTS} parts")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ValueError("too deep") from None
