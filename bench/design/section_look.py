"""How the parts of a window section look: hatching first, so that it reads in black on white; tints are an extra."""

from __future__ import annotations

__all__ = ["COILS", "PATTERNS", "STYLE", "band_look", "coil_look"]

COILS = 4
"""Looks of windings; the fifth winding looks like the first again, and its label tells them apart."""


def coil_look(number: int) -> str:
    """Of turns that are drawn one by one; number from 0."""
    return f"turns coil{number % COILS}"


def band_look(number: int) -> str:
    """Of a layer whose turns are too fine to be drawn."""
    return f"band band{number % COILS}"


def _hatch(name: str, pitch: float, angle: float, stroke: str, width: float, tint: str) -> str:
    return (
        f'<pattern id="{name}" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate({angle})"><rect width="{pitch}" height="{pitch}" fill="{tint}"/>'
        f'<path d="M0 0H{pitch}" stroke="{stroke}" stroke-width="{width}"/></pattern>'
    )


def _dots(name: str, pitch: float, radius: float, tint: str) -> str:
    middle = pitch / 2
    return (
        f'<pattern id="{name}" width="{pitch}" height="{pitch}" patternUnits="userSpaceOnUse">'
        f'<rect width="{pitch}" height="{pitch}" fill="{tint}"/>'
        f'<circle cx="{middle}" cy="{middle}" r="{radius}" fill="#333"/></pattern>'
    )


PATTERNS = "".join(
    (
        _hatch("steel", 2.2, 45, "#555", 0.22, "#e6e9ec"),
        _hatch("former", 1.0, -45, "#6b4a22", 0.22, "#f0e2c8"),
        _dots("margin", 1.3, 0.14, "#fff"),
        _dots("wrap", 0.7, 0.13, "#f3ecd8"),
        _hatch("band0", 0.9, 60, "#1d2a2f", 0.16, "#fff"),
        _hatch("band1", 0.6, -60, "#1d2a2f", 0.16, "#f5dccb"),
        _hatch("band2", 0.5, 0, "#1d2a2f", 0.12, "#dfe9ef"),
        _hatch("band3", 0.7, 90, "#1d2a2f", 0.16, "#e3eddd"),
    )
)

_LOOKS = {
    ".steel": "fill:url(#steel);stroke:#1d2a2f;stroke-width:.3",
    ".former": "fill:url(#former);stroke:#1d2a2f;stroke-width:.2",
    ".margin": "fill:url(#margin)",
    ".wrap": "fill:url(#wrap);stroke:#777;stroke-width:.1",
    ".paper": "fill:#777",
    ".air": "fill:#fff",
    ".foil": "fill:#000",
    ".swatch": "stroke:#1d2a2f;stroke-width:.2",
    ".band": "stroke:#1d2a2f;stroke-width:.12",
    ".band0": "fill:url(#band0)",
    ".band1": "fill:url(#band1)",
    ".band2": "fill:url(#band2)",
    ".band3": "fill:url(#band3)",
    ".turns": "stroke:#1d2a2f;stroke-width:.14",
    ".coil0": "fill:#fff",
    ".coil1": "fill:#b9bec1",
    ".coil2": "fill:#f5dccb;stroke-width:.32",
    ".coil3": "fill:url(#band0)",
    ".measure": "fill:none;stroke:#1d2a2f;stroke-width:.18",
    ".leader": "fill:none;stroke:#1d2a2f;stroke-width:.2",
    ".halo": "fill:none;stroke:#fff;stroke-width:.7",
    ".tap": "fill:#fff;stroke:#000;stroke-width:.35",
    ".over": "fill:none;stroke:#000;stroke-width:.6;stroke-dasharray:2 1",
    ".bar": "fill:#000;stroke:#000;stroke-width:.15",
    ".bar.pale": "fill:#fff",
    ".word": "fill:#1d2a2f",
    ".head": "fill:#1d2a2f;font-weight:bold",
}

# Each rule bound to the drawing: inside a page its class names would reach the page's own parts.
STYLE = "".join(f".section {name}{{{rule}}}" for name, rule in _LOOKS.items())
