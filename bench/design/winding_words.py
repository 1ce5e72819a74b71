"""What the sheet says of one winding, of one screen, and of the leads."""

from __future__ import annotations

from dataclasses import dataclass

from bench.design.sheet_figures import digits, mm, place, reading
from bench.design.sheet_values import LayerStep, LeadOut, ScreenStep, Sheet, WindingStep, WireReady
from bench.design.trial_ratio import LAMINATIONS, SEARCH_COIL, SEARCH_COIL_TURNS

__all__ = ["Facts", "Table", "WindingParts", "leads_table", "screen_parts", "winding_parts"]

Facts = tuple[tuple[str, str], ...]

_BLANK = "____________"


@dataclass(frozen=True)
class Table:
    """heads and rows of words;  text_columns: how many of the first hold words, the rest hold numbers or, after
    `numbers_until`, words again;  ticks: whether each row has a box."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    text_columns: int = 0
    numbers_until: int | None = None
    ticks: bool = False

    def is_number(self, column: int) -> bool:
        """Whether a column is set to the right."""
        end = len(self.heads) if self.numbers_until is None else self.numbers_until
        return self.text_columns <= column < end


@dataclass(frozen=True)
class WindingParts:
    """facts;  layers;  checks: what to do before it is buried;  readings: what that should read, with room to write."""

    facts: Facts
    layers: Table
    checks: tuple[str, ...]
    readings: Table


def winding_parts(one: WindingStep, sheet: Sheet) -> WindingParts:
    """All that is said of one winding."""
    return WindingParts(_winding_facts(one, sheet), _layers_table(one), _winding_checks(one), _readings_table(one))


def _winding_facts(one: WindingStep, sheet: Sheet) -> Facts:
    wire = one.wire
    grade = f"grade {wire.grade}" if wire.grade is not None else "grade not stated, 1 taken: measure yours"
    in_hand = "one wire" if wire.strands == 1 else f"{wire.strands} in hand, side by side, starts together"
    facts = [(lead.end, f"{_lead_place(lead)}; {_tagged(lead)}") for lead in one.leads]
    facts += [
        ("wire", f"{_wire_size(wire)}, {mm(wire.overall)} over the enamel ({grade}); {in_hand}"),
        ("pull", _pull(one)),
        ("sense", f"{one.sense}, seen from the start"),
        ("margin", f"{mm(sheet.margin)} bare at either flange"),
        ("layers", _between(one, sheet)),
    ]
    if one.note:
        facts.append(("note", one.note))
    return tuple(facts)


def _wire_size(wire: WireReady) -> str:
    bare = f"{mm(wire.diameter)} bare"
    return bare if wire.name.endswith("mm") else f"{wire.name}, {bare}"


def _pull(one: WindingStep) -> str:
    if one.pull_low is None or one.pull_high is None:
        return "by hand, firm and even: the maker's chart has wire of 0.079 to 0.813 mm"
    each = " on each strand" if one.wire.strands > 1 else ""
    return f"{one.pull_low:.2g} to {one.pull_high:.2g} N{each}, 50 to 80 % of a wire maker's chart (Phelps Dodge)"


def _between(one: WindingStep, sheet: Sheet) -> str:
    if len(one.layers) == 1:
        return "one layer"
    laid = f"{mm(sheet.between_layers)} after each, flange to flange" if sheet.between_layers > 0 else "nothing between"
    if one.volts_between_layers is None:
        return laid
    return f"{laid}; up to {one.volts_between_layers:.0f} V RMS between two of them, paper {one.paper} (from memory)"


def _layers_table(one: WindingStep) -> Table:
    return Table(
        ("layer", "turns", "total", "from mm", "to mm", "pitch mm", "traverse", "then"),
        tuple(_layer_row(layer) for layer in one.layers),
        numbers_until=6,
        ticks=True,
    )


def _layer_row(layer: LayerStep) -> tuple[str, ...]:
    then = [f"tap {tap.name} after {tap.in_layer:g} turns" for tap in layer.taps]
    if layer.empty > 2 * layer.pitch:
        then.append(f"fill {place(layer.empty)} mm")
    if layer.insulation_after > 0:
        then.append(f"{'cover' if layer.cover else 'insulation'} {mm(layer.insulation_after)}")
    return (
        str(layer.number),
        str(layer.turns),
        str(layer.total),
        place(layer.start),
        place(layer.end),
        f"{layer.pitch * 1e3:.3f}",
        f"to the {layer.traverse}",
        ", ".join(then) or "-",
    )


def _winding_checks(one: WindingStep) -> tuple[str, ...]:
    trial = one.trial
    coil = (
        f"put {SEARCH_COIL_TURNS} turns of hook-up wire round the coil for now, "
        if any(each.of == SEARCH_COIL for each in trial.readings)
        else ""
    )
    draws = "" if trial.current is None else f", about {digits(trial.current, 'A', 2)} flow"
    named = "; a section has the name of the lead that ends it" if len(one.ohms) > 1 else ""
    joined = "the strands joined at both ends, " if one.wire.strands > 1 else ""
    wires = "by four wires, " if min(each.value for each in one.ohms) < 1 else ""
    return (
        f"{one.turns} turns counted: turnproof wind JOB {one.name} --counter COUNTER",
        f"ohms: {joined}{wires}copper at ______ °C",
        f"volts: block out, {LAMINATIONS} laminations in for now, {coil}feed {trial.fed} with at most "
        f"{trial.volts:g} V; then no terminal is over {digits(trial.highest, 'V', 3)}{draws}; a single turn is "
        f"{digits(trial.one_turn, 'V', 3)}{named}; fed: ______ V",
    )


def _readings_table(one: WindingStep) -> Table:
    """At the volts that the sheet names, and for each volt, since nobody's source gives just those."""
    rows = [(f"ohms of {each.of}", f"{reading(each.value, each.u, 'ohm')} at 20 °C", "", _BLANK) for each in one.ohms]
    for each in one.trial.readings:
        volts = one.trial.volts
        at = reading(each.per_volt * volts, None if each.u is None else each.u * volts, "V")
        rows.append((f"volts on {each.of}", f"{at} at {volts:g} V", digits(each.per_volt, "V", 4), _BLANK))
    return Table(("what", "should read", "for each volt fed", "reads"), tuple(rows), text_columns=4, ticks=True)


def screen_parts(one: ScreenStep) -> tuple[Facts, tuple[str, ...]]:
    """Facts of a screen, and what to do and look at; that it must not close on itself is said in each case."""
    overlap = (
        "once round and over its own start, with insulation between the two ends"
        if one.overlap_insulated
        else "THE JOB SAYS THAT ITS OVERLAP IS NOT INSULATED: then it is a shorted turn; insulate it"
    )
    facts = (
        ("foil", f"{one.material} {mm(one.thickness)}, {mm(one.width)} wide, {mm(one.length)} long"),
        ("lay", f"on {mm(one.cover)} of insulation over {one.after}, {overlap}"),
        ("lead", f"to earth; {_tagged(one)}"),
        *((("far", f"brought out for the tests, never to earth; {one.far}"),) if one.far else ()),
        ("then", f"cover {mm(one.cover)}"),
    )
    checks = (
        "it must not close on itself: a closed screen is a shorted turn. Insulation looks out from under the outer "
        "end; no solder, no adhesive that conducts, reaches across. An ohmmeter can't tell, the foil is short anyway",
        f"both ends out for now, block out, {LAMINATIONS} laminations in: feed {one.fed} with {one.volts:g} V; "
        f"between the ends there must be one turn's {digits(one.one_turn, 'V', 3)}; next to nothing means closed. "
        "Then cut off the end without the lead, and cover it",
        f"no contact from {one.name} to {one.after} by ohmmeter",
    )
    return facts, checks


def _lead_place(lead: LeadOut) -> str:
    """Where an end leaves the coil: `left flange`, or its place within the coil."""
    at = f"after turn {lead.turn}, " if lead.turn else ""
    if lead.flange:
        return f"{at}{lead.flange} flange"
    return f"{at}{place(lead.position)} mm from the left flange, over the coil on a strip of insulation"


def _tagged(lead: LeadOut | ScreenStep) -> str:
    parts = [lead.tag and f"tag {lead.tag}", lead.colour, lead.side and f"side {lead.side}"]
    return ", ".join(part for part in parts if part) or "tag and colour not stated"


def leads_table(sheet: Sheet) -> Table:
    """Every end and tap, then the screens' leads: tag, colour, side as the job has them, and where they come out."""
    rows = [
        (one.name, lead.end, lead.tag or "-", lead.colour or "-", lead.side or "-", _short_place(lead),
         mm(one.wire.overall * one.wire.strands, 3))
        for one in sheet.windings
        for lead in one.leads
    ]  # fmt: skip
    rows += [
        (one.name, "earth", one.tag or "-", one.colour or "-", one.side or "-", "foil", mm(one.thickness, 3))
        for one in sheet.screens
    ]
    return Table(
        ("winding", "end", "tag", "sleeve", "side", "comes out", "of"), tuple(rows), text_columns=7, ticks=True
    )


def _short_place(lead: LeadOut) -> str:
    return f"{lead.flange} flange" if lead.flange else f"{place(lead.position)} mm from left"
