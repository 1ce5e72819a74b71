"""The windings and the figures of a design as rows, each with what it was before."""

from __future__ import annotations

from bench.dashboard.design.reckoned import DesignShown, OnLoadShown
from bench.dashboard.parts.look import Ink
from bench.dashboard.parts.row_list import Cell, Column, Row

__all__ = ["FIGURES", "WINDINGS", "change_words", "figure_rows", "winding_rows"]

WINDINGS = (
    Column("winding", 0.18, 20),
    Column("turns", 0.13, 22, right=True),
    Column("than before", 0.18, 18, right=True),
    Column("wire", 0.21, 18, right=True),
    Column("layers, %", 0.15, 18, right=True),
    Column("on load", 0.15, 18, right=True),
)
FIGURES = (Column("", 0.40, 18), Column("", 0.26, 20, right=True), Column("than before", 0.34, 18, right=True))
_ORDER = ("loss", "rise", "window taken", "copper")


def change_words(now: float, before: float | None, unit: str, places: int) -> str:
    """`↑ 0.3 W more`; empty where there is nothing to compare with."""
    if before is None:
        return ""
    far = round(now - before, places)
    if far == 0:
        return "= as before"
    return f"{'↑' if far > 0 else '↓'} {abs(far):.{places}f} {unit}".rstrip() + (" more" if far > 0 else " less")


def winding_rows(shown: DesignShown, on_load: OnLoadShown | None, before: DesignShown | None) -> tuple[Row, ...]:
    """In the order of winding."""
    rows = []
    earlier = {} if before is None else {one.name: one.turns for one in before.job.winding}
    for one in shown.job.winding:
        planned = None if shown.plan is None else next(o for o in shown.plan.windings if o.name == one.name)
        wire = "" if one.wire is None else one.wire.name + (f" x {one.strands}" if one.strands > 1 else "")
        layers = ""
        if planned is not None and shown.plan is not None:
            share = (planned.outer - planned.inner) / shown.plan.shape.window_width
            layers = f"{len(planned.layers)}, {100 * share:.0f} %"
        was = earlier.get(one.name)
        changed = "" if one.turns is None or was is None else change_words(one.turns, was, "", 0)
        rows.append(
            Row(
                one.name,
                (
                    Cell(one.name, bold=True),
                    Cell("–" if one.turns is None else f"{one.turns}", bold=True),
                    Cell(changed, Ink.COPPER),
                    Cell(wire or "no wire yet", Ink.TEXT if wire else Ink.QUIET),
                    Cell(layers),
                    Cell(_on_load(one.name, on_load)),
                ),
            )
        )
    return tuple(rows)


def _on_load(name: str, on_load: OnLoadShown | None) -> str:
    """At nominal mains, the middle one of low, nominal and high."""
    if on_load is None or name not in on_load.volts:
        return ""
    volts = on_load.volts[name]
    return f"{volts[len(volts) // 2]:.4g} V"


def figure_rows(
    shown: DesignShown, on_load: OnLoadShown | None, before: tuple[DesignShown, OnLoadShown | None] | None
) -> tuple[Row, ...]:
    """What takes longer stands as a dash until it is there."""
    of = {**shown.figures.of, **({} if on_load is None else on_load.figures.of)}
    was = {} if before is None else {**before[0].figures.of, **({} if before[1] is None else before[1].figures.of)}
    rows = []
    for name in _ORDER:
        if name not in of:
            rows.append(Row(name, (Cell(name), Cell("…" if on_load is None and shown.plan else "–"), Cell(""))))
            continue
        value, unit, places = of[name]
        earlier = was.get(name)
        changed = change_words(value, None if earlier is None else earlier[0], unit, places)
        rows.append(
            Row(name, (Cell(name), Cell(f"{value:.{places}f} {unit}".strip(), bold=True), Cell(changed, Ink.COPPER)))
        )
    if on_load is not None and on_load.regulation:
        worst = max(on_load.regulation, key=lambda name: on_load.regulation[name])
        falls = 100 * on_load.regulation[worst]
        rows.append(Row("regulation", (Cell("falls most on load"), Cell(f"{falls:.1f} %", bold=True), Cell(worst))))
    return tuple(rows)
