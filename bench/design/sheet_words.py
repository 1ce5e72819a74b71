"""The winding sheet in words: its sections once, for the page on the screen and the page on the wall alike."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from bench.design.sheet_figures import mm, place
from bench.design.sheet_values import LEAD_OUT, SPARE, Restack, ScreenStep, Sheet, WindingStep
from bench.design.winding_words import Table, leads_table, screen_parts, winding_parts
from bench.magnetics.copper import TEMPERATURE_COEFFICIENT_20C

__all__ = ["Mark", "Section", "sections", "title", "verdict"]


class Mark(StrEnum):
    """What a section is, so that a page can set it off."""

    CAUTION = "caution"
    PLAIN = "plain"
    WORK = "work"


@dataclass(frozen=True)
class Section:
    """In this order.  facts: label and text;  table: rows under heads;  checks: lines with a box to tick;  readings."""

    heading: str
    mark: Mark
    lines: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    table: Table | None = None
    checks: tuple[str, ...] = ()
    readings: Table | None = None


def title(sheet: Sheet) -> str:
    """`Winding sheet TP-0107: mains transformer of a coastal receiver`."""
    name = sheet.name or sheet.equipment
    return f"Winding sheet {sheet.number}" + (f": {name}" if name else "")


def verdict(sheet: Sheet) -> str:
    """Empty where the build fits; else by how many millimetres it does not."""
    if sheet.fits:
        return ""
    return (
        f"DOES NOT FIT: the build is {mm(sheet.build)} high and the window {mm(sheet.window_width)} wide, "
        f"{mm(-sheet.room_left)} too much. Don't wind it like this."
    )


def sections(sheet: Sheet) -> tuple[Section, ...]:
    """All sections in the order of the work, the cautions first."""
    steps = [
        _winding(number, step, sheet) if isinstance(step, WindingStep) else _screen(number, step)
        for number, step in enumerate(sheet.steps, start=1)
    ]
    return (_cautions(), _unit(sheet), _ready(sheet), _former(sheet), _order(sheet), *steps, _leads(sheet),
            _restack(sheet.restack), _test())  # fmt: skip


def _cautions() -> Section:
    return Section(
        "First",
        Mark.CAUTION,
        facts=(
            (
                "Local code",
                "Your local electrical code goes before this sheet; mains work may be reserved to licensed people "
                "where you live. The sheet says how to wind; it says nothing of whether the unit may be used.",
            ),
            (
                "Winder",
                "Hair tied, no loose sleeves, no gloves at the spindle; guard on; foot off the switch, spindle at "
                "rest, before a hand goes to wire or paper.",
            ),
            (
                "Leads",
                "A winding kicks with hundreds of volts when the ohmmeter is taken off: clips by their insulation. "
                "Low volts are low only where they are put in: feed only the winding named, from an isolated "
                "source, all other ends apart and covered.",
            ),
            ("Enamel", "Heated enamel gives off fumes that harm the lungs: extraction at the iron, don't burn it off."),
        ),
    )


def _unit(sheet: Sheet) -> Section:
    supply = f"{sheet.supply_volts:g} V, {sheet.supply_hertz:g} Hz" if sheet.supply_volts is not None else "not stated"
    core = f"{sheet.lamination + ', ' if sheet.lamination else ''}stack {mm(sheet.restack.stack)}, "
    core += f"window {mm(sheet.window_width)} x {mm(sheet.window_height)}"
    facts = [("unit", sheet.equipment or "not stated"), ("supply", supply), ("core", core)]
    if sheet.fits:
        facts.append(
            (
                "room",
                f"the build is {mm(sheet.build)} high, {mm(sheet.room_left)} of the window's width stay free; the "
                f"former's clearance takes {mm(sheet.former.clearance / 2)} of that",
            )
        )
    facts += [("taken", one) for one in sheet.not_stated]
    if sheet.margin_short > 0:
        facts.append(
            (
                "margin",
                f"{mm(sheet.margin)} is {mm(sheet.margin_short)} short of the margin on each side for reinforced "
                "insulation (IEC 61558-1, from memory, check your copy of the standard)",
            )
        )
    return Section("The unit", Mark.PLAIN, facts=tuple(facts))


def _ready(sheet: Sheet) -> Section:
    rows = [
        (
            one.name,
            one.wire.name,
            str(one.wire.strands),
            f"{one.wire.length:.1f}",
            f"{one.wire.ready:.1f}",
            f"{one.wire.mass * 1e3:.1f}",
            f"{one.wire.ready_mass * 1e3:.1f}",
        )
        for one in sheet.windings
    ]
    foils = tuple(
        f"{one.material}, {mm(one.thickness)} thick, {mm(one.width)} wide, {mm(one.length)} long for {one.name}"
        for one in sheet.screens
    )
    strips = f"insulation {mm(sheet.between_flanges)} wide, flange to flange"
    thick = f"{mm(sheet.between_windings)} in all between windings and on the last"
    if sheet.between_layers > 0:
        thick = f"{mm(sheet.between_layers)} between layers; " + thick
    checks = (f"{strips}: {thick}", *foils, "lead wire and sleeving as under Leads; tape for margins and anchors")
    return Section(
        "Have ready",
        Mark.WORK,
        lines=(
            f"Wire by strand: what the turns take; to have ready, with {SPARE * 100:g} % more and {LEAD_OUT:g} m for "
            "each end (a tap has two); grams of copper of all strands, without enamel.",
        ),
        table=Table(
            ("winding", "wire", "strands", "turns take m", "ready m", "turns take g", "ready g"),
            tuple(rows),
            text_columns=2,
            ticks=True,
        ),
        checks=checks,
    )


def _former(sheet: Sheet) -> Section:
    one = sheet.former
    return Section(
        "Former and block",
        Mark.WORK,
        checks=(
            f"inside {mm(one.inner_across)} x {mm(one.inner_along)}: tongue {mm(one.tongue)} x stack {mm(one.stack)} "
            f"and {mm(one.clearance)} of clearance, taken; measure the pressed stack, burrs and old varnish with it",
            f"wall and flanges {mm(one.wall)}: tube {mm(one.outer_across)} x {mm(one.outer_along)} outside, "
            f"{mm(sheet.between_flanges)} between flanges, at most {mm(one.length)} over them",
            f"flanges no wider than {mm(one.flange_across)} across the tongue, or they don't enter the window; not of "
            "printed thermoplastic, which a hot winding softens",
            f"block inside it, {mm(one.block_across)} x {mm(one.block_along)} x {mm(one.length)} for a former of that "
            "size, bored through its middle for your spindle; without it the former bows and the core won't enter",
            "a cheek plate, bored alike, on each flange where the spindle has room for it; leave the leads a way out: "
            f"turnproof block JOB --inside {one.inner_across * 1e3:.4g}mmx{one.inner_along * 1e3:.4g}mm draws both",
            "left and right on this sheet are as you stand at the machine: write L and R on the flanges now, and which "
            "of them faces the lead sides as found",
        ),
    )


def _order(sheet: Sheet) -> Section:
    rows = []
    for number, one in enumerate(sheet.steps, start=1):
        across = place(sheet.former.inner_across + 2 * one.outer)
        if isinstance(one, WindingStep):
            layers = f"{len(one.layers)} layer" + ("s" if len(one.layers) > 1 else "")
            rows.append((str(number), one.name, f"{one.turns} turns of {one.wire.name} in {layers}", across))
        else:
            rows.append((str(number), one.name, f"{one.material}, not closed on itself", across))
    return Section(
        "Order, inside first",
        Mark.PLAIN,
        lines=(
            "Last column: the coil across the tongue after that step, calliper over the bulge. Window and tongue give "
            f"it {place(sheet.former.tongue + 2 * sheet.window_width)} mm.",
            "Places are millimetres from the left flange. What a part-filled layer leaves bare is to be filled: lay "
            "strip there as high as the wire. Tick each layer when its insulation is on.",
        ),
        table=Table(("step", "name", "what", "coil across mm"), tuple(rows), text_columns=3),
    )


def _winding(number: int, one: WindingStep, sheet: Sheet) -> Section:
    parts = winding_parts(one, sheet)
    heading = f"{number}  {one.name}: {one.turns} turns, {one.role}"
    return Section(heading, Mark.WORK, (), parts.facts, parts.layers, parts.checks, parts.readings)


def _screen(number: int, one: ScreenStep) -> Section:
    facts, checks = screen_parts(one)
    return Section(f"{number}  {one.name} on {one.after}", Mark.WORK, (), facts, None, checks)


def _leads(sheet: Sheet) -> Section:
    return Section(
        "Leads",
        Mark.WORK,
        lines=(
            "Sleeve every end from its first turn to the tag, anchor it under a turn of tape, pull at it. On wire "
            "thinner than 0.5 mm solder a flexible lead (common practice).",
        ),
        table=leads_table(sheet),
    )


def _restack(one: Restack) -> Section:
    count = (
        f"about {one.laminations} E and as many I of {mm(one.thickness)} (by the name of the steel)"
        if one.laminations is not None and one.thickness is not None
        else "as many E and I as came out"
    )
    how = (
        "butt: every E from one side, every I from the other, joints closed"
        if one.interleave == "butt"
        else f"interleaved {one.interleave}: {one.interleave[0]} from one side, {one.interleave[0]} from the other"
    )
    return Section(
        "Restack",
        Mark.WORK,
        checks=(
            f"stack {mm(one.stack)} pressed, {count}; counted: E ______ I ______",
            f"{how}; the I's too, no gap",
            "the last ones tapped in with a block of wood, never forced: a scraped winding touches the core",
            "bolts in their tubes and washers; a closed band round core and coil goes back outside, if it had one",
        ),
    )


def _test() -> Section:
    return Section(
        "Acceptance",
        Mark.WORK,
        lines=(
            "± is the expanded uncertainty, k = 2. Copper reads "
            f"{TEMPERATURE_COEFFICIENT_20C * 100:.2f} % more for each kelvin above 20 °C.",
        ),
        checks=(
            "before varnish: turnproof test JOB --meter METER, which goes from ohms to mains step by step",
            "wound by ____________________  on ____________  reel and batch ____________________",
        ),
    )
