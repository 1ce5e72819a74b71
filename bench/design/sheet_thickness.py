"""Thickness of a lamination, where the name of its steel tells it."""

from __future__ import annotations

import re

from bench.job.core import Core

__all__ = ["sheet_thickness"]

_EN_STEEL = re.compile(r"m\d+-(\d+)[a-z]")


def sheet_thickness(core: Core) -> float | None:
    """Thickness of a lamination [m] where the name of its steel tells: M400-50A is 0.50 mm; else None.

    Source: designation of electrical steel sheet in EN 10106, hundred times the millimetres (from memory).
    """
    match = _EN_STEEL.fullmatch(core.steel)
    return None if match is None else int(match.group(1)) * 1e-5
