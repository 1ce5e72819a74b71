"""The square code in the corner: the command that tells whether the record still holds this test."""

from __future__ import annotations

import segno

__all__ = ["code_drawn"]


def code_drawn(text: str) -> str:
    """SVG of a QR code (ISO/IEC 18004) that a quarter of may be soiled."""
    code = segno.make(text, micro=False, error="q")
    return str(
        code.svg_inline(border=2, dark="#16262e", light="#ffffff", svgclass="code", lineclass=None, omitsize=True)
    )
