"""Figures as the sheet prints them: millimetres for a ruler, readings with as many places as their doubt is worth."""

from __future__ import annotations

import math

__all__ = ["digits", "mm", "place", "reading"]


def mm(length: float, figures: int = 4) -> str:
    """A length [m] as `0.439 mm`."""
    return f"{length * 1e3:.{figures}g} mm"


def place(length: float) -> str:
    """A place along the former [m] as a ruler reads it: `42.6`, in millimetres."""
    return f"{length * 1e3:.1f}"


def digits(value: float, unit: str, figures: int) -> str:
    """So many figures, no exponent; below a tenth in thousandths of the unit."""
    shown, unit = (value * 1e3, f"m{unit}") if 0 < abs(value) < 0.1 else (value, unit)
    places = max(0, figures - 1 - math.floor(math.log10(abs(shown)))) if shown else 0
    return f"{shown:.{places}f} {unit}"


def reading(value: float, u: float | None, unit: str) -> str:
    """`213 ± 14 ohm`: value ± 2 u, the doubt with two figures; where u is not known four figures of the value."""
    if not u:
        return digits(value, unit, 4)
    factor, unit = (1e3, f"m{unit}") if 0 < abs(value) < 0.1 else (1.0, unit)
    shown, doubt = value * factor, 2 * u * factor
    places = min(6, max(0, 1 - math.floor(math.log10(doubt))))
    return f"{shown:.{places}f} ± {doubt:.{places}f} {unit}"
