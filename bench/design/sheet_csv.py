"""The layers of a winding sheet as a table for whoever sets a winding machine by it: one row a layer."""

from __future__ import annotations

import csv
import io

from bench.design.sheet_values import LayerStep, Sheet, WindingStep

__all__ = ["COLUMNS", "sheet_csv"]

COLUMNS = (
    "winding",
    "layer",
    "turns",
    "total",
    "direction",
    "start_mm",
    "end_mm",
    "pitch_mm",
    "wire",
    "strands",
    "tap",
    "insulation_after_mm",
)

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def sheet_csv(sheet: Sheet) -> str:
    """RFC 4180, a point in the numbers, places from the left flange; a screen is a row without layer and turns."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n").writerow
    write(COLUMNS)
    for step in sheet.steps:
        if isinstance(step, WindingStep):
            for layer in step.layers:
                write(_row(step, layer))
        else:
            foil = f"{step.material} {step.thickness * 1e3:.3f} mm"
            write((step.name, "", "", "", "", "", "", "", _inert(foil), "", "", f"{step.cover * 1e3:.3f}"))
    return out.getvalue()


def _row(one: WindingStep, layer: LayerStep) -> tuple[str | int, ...]:
    return (
        one.name,
        layer.number,
        layer.turns,
        layer.total,
        layer.traverse,
        f"{layer.start * 1e3:.3f}",
        f"{layer.end * 1e3:.3f}",
        f"{layer.pitch * 1e3:.4f}",
        _inert(one.wire.name),
        one.wire.strands,
        "; ".join(f"{tap.name} at {tap.turn}" for tap in layer.taps),
        f"{layer.insulation_after * 1e3:.3f}",
    )


def _inert(text: str) -> str:
    """A spreadsheet takes a text that begins so for a formula."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return f"'{plain}" if plain.startswith(_FORMULA) else plain
