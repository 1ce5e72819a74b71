"""A survey in the words that a restorer would use."""

from __future__ import annotations

from dataclasses import dataclass

from bench.quantities import show
from bench.survey.flux_sentences import flux_lines
from bench.survey.interval import Interval
from bench.survey.knee import Where
from bench.survey.slip_sentences import disagreement_lines, percent
from bench.survey.values import Survey, WindingFound

__all__ = ["Paragraph", "expectation_line", "says", "turns_text", "winding_lines"]


@dataclass(frozen=True)
class Paragraph:
    """A heading, and what is said under it, a sentence or two a line."""

    heading: str
    lines: tuple[str, ...]


def says(survey: Survey) -> tuple[Paragraph, ...]:
    """Everything that the survey has to say; a paragraph without a line is left out."""
    paragraphs = (
        Paragraph("Insulation as found", tuple(_insulation(survey))),
        Paragraph("First volts", tuple(_first(survey))),
        Paragraph("Windings", tuple(line for one in survey.windings for line in winding_lines(survey, one))),
        Paragraph("Turns per volt", tuple(_per_volt(survey))),
        Paragraph("What disagrees", tuple(disagreement_lines(survey))),
        Paragraph("Nameplate", tuple(_nameplate(survey))),
        Paragraph("Flux density", tuple(flux_lines(survey))),
        Paragraph("Steel", tuple(_steel(survey))),
        Paragraph("What it can carry", tuple(_powers(survey))),
        Paragraph("Still to read", tuple(survey.missing)),
    )
    return tuple(one for one in paragraphs if one.lines)


def winding_lines(survey: Survey, one: WindingFound) -> list[str]:
    """What is known of one winding: its count against what it should have, or what to expect."""
    lines = [f"{one.name}: {_count_text(one)}"]
    if one.counted is None and one.expected is not None:
        lines[0] = expectation_line(survey, one)
    ways = [f"{turns_text(way.turns)} by {way.reason}" for way in one.copper]
    if ways and (one.counted is None or not one.copper[0].turns.low <= one.counted.turns <= one.copper[0].turns.high):
        lines.append(f"  its copper says {'; '.join(ways)}")
    return lines


def expectation_line(survey: Survey, one: WindingFound) -> str:
    """How many turns to expect of a winding before it comes off."""
    if one.expected is None:
        return f"{one.name}: nothing read or counted yet tells its turns"
    first = " Only a first guess: count on." if one.expected_from == "the core at the usual flux density" else ""
    return f"{one.name}: expect {turns_text(one.expected)}, from {one.expected_from}.{first}"


def turns_text(turns: Interval) -> str:
    """Turns with their interval, no finer than it is known: `16.0 to 16.2 turns` is `16.1 ± 0.1 turns`."""
    wide = turns.expanded
    places = 0 if wide >= 2 else 1
    if wide < 10**-places / 2:
        return f"{turns.value:.{places}f} turns"
    return f"{turns.value:.{places}f} ± {wide:.{places}f} turns"


def _count_text(one: WindingFound) -> str:
    if one.counted is None:
        return "not counted yet; nothing read yet tells its turns"
    counted = f"{one.counted.turns:g} turns {'of your own' if one.search_coil else 'counted'}"
    if one.residue is None or one.expected is None:
        return f"{counted}; nothing else tells its turns"
    if one.agrees:
        return f"{counted}; volts and the other counts say {turns_text(one.expected)}: they agree"
    return f"{counted}, but volts and the other counts say {turns_text(one.expected)}: {one.residue.value:+.1f} turns"


def _insulation(survey: Survey) -> list[str]:
    lines = []
    refuse, good_from = survey.insulation_limits
    for name, ohms in survey.insulation.items():
        if ohms < refuse:
            lines.append(
                f"{name}: {show(ohms, 'ohm', 3)}, low: damp or carbon. Feed nothing before it is dried and read "
                f"again, or "
                "stripped."
            )
        elif ohms < good_from:
            lines.append(
                f"{name}: {show(ohms, 'ohm', 3)}, less than the {show(good_from, 'ohm', 3)} of a dry winding: dry it "
                "before full volts."
            )
    good = [name for name, ohms in survey.insulation.items() if ohms >= good_from]
    if good:
        lines.append(f"{', '.join(good)}: {show(good_from, 'ohm', 3)} or more.")
    if survey.insulation and survey.insulation_missing:
        lines.append(f"not read: {', '.join(survey.insulation_missing)}. Read it before anything is fed.")
    return lines


def _first(survey: Survey) -> list[str]:
    """Never before insulation was read, and not with insulation that is low: then nothing is fed."""
    first = survey.first
    if first is None:
        return []
    refuse, _ = survey.insulation_limits
    low = [name for name, ohms in survey.insulation.items() if ohms < refuse]
    if low or survey.insulation_missing:
        why = (
            f"insulation of {_listed(low)} is low"
            if low
            else f"insulation of {_listed(list(survey.insulation_missing))} was not read"
        )
        return [f"Feed nothing yet: {why}."]
    turns = ", ".join(
        f"{name} {turns.value:.0f}{'' if turns.relative < 0.05 else ' (half to twice that)'}"
        for name, turns in first.turns.items()
    )
    if first.limited_by == "terminals":
        why = "with more, another winding could pass 25 V"
    else:
        why = "so little flux that the core can't saturate, even if it has far fewer turns than taken here"
    return [
        f"Feed {first.winding} and nothing else, through a limiter, with {_volts_text(first.volts)} to begin with: "
        f"{why}.",
        f"Turns taken, by count or by ohms and the room in the window: {turns}. At their worst that puts "
        f"{first.highest:.0f} V on some terminal. Read the volts on every winding before you raise it, then step by "
        f"step "
        "while the current grows no faster than the volts.",
    ]


def _volts_text(volts: float) -> str:
    return f"{volts:.1f} V" if volts < 10 else f"{volts:.0f} V"


def _per_volt(survey: Survey) -> list[str]:
    per_volt = survey.turns_per_volt
    if per_volt is None or survey.reference_volts is None:
        return []
    counted = [one.name for one in survey.windings if one.counted is not None]
    lines = [
        f"{per_volt.value:.3f} ± {per_volt.expanded:.3f} turns per volt with {survey.reference_volts:g} V on "
        f"{survey.reference}, from {_listed(counted) or 'the current ratio'}: one turn gives "
        f"{1 / per_volt.value:.3f} V.",
    ]
    if survey.disagrees:
        lines.append("Counts and volts disagree, see below; the interval reaches over what that leaves open.")
    return lines


def _nameplate(survey: Survey) -> list[str]:
    if not survey.nameplates:
        return []
    lines = []
    for one in survey.nameplates:
        line = (
            f"{one.winding}: {one.nameplate:g} V on the plate, {one.open_volts:.3g} V open at the plate's supply: "
            f"{percent(abs(one.rise))} {'more' if one.rise > 0 else 'less'}."
        )
        if not one.usual:
            line += (
                f" Usual is {percent(one.usual_low)} to {percent(one.usual_high)} more: look at the plate, the tap "
                f"and "
                "the leads."
            )
        lines.append(line)
    if any(one.usual for one in survey.nameplates):
        lines.append(
            "That much is usual and no miscount: a plate gives the volts under load, after the drop in the copper; "
            "open, and "
            "by its turns, a winding gives more. The plate is kept out of the turns per volt."
        )
    return lines


def _steel(survey: Survey) -> list[str]:
    curve, lines = survey.curve, []
    if curve is not None and curve.excess_watts is not None:
        return [
            f"It took {curve.excess_watts:.2g} times the watts of the worst sheet known here: no steel does. A "
            f"shorted turn, a "
            "closed screen or bridged laminations: its curve says nothing of the steel."
        ]
    if curve is not None:
        at = f"{curve.frequency:g} Hz"
        if curve.knee.volts is not None:
            flux = "" if curve.knee_flux is None else f", {_tesla(curve.knee_flux)}"
            lines.append(
                f"The curve at {at} bends over at {curve.knee.volts.value:.3g} ± {curve.knee.volts.expanded:.2g} "
                f"V{flux}: "
                "from there 10 % more volts take 50 % more current."
            )
        elif curve.knee.where is Where.ABOVE:
            reach = "" if curve.highest_flux is None else f" It goes up to {curve.highest_flux:.2f} T."
            lines.append(f"The curve at {at} ends before it bends over, so its knee lies higher.{reach}")
        else:
            lines.append(
                f"The curve at {at} has bent over before its first point: its knee lies lower. Read fewer volts."
            )
    if survey.steels:
        best = survey.steels[0]
        if best.fits:
            others = [one.steel for one in survey.steels[1:] if one.fits and one.probability > 0.1]
            joint = f", {best.joint * 1e3:.3f} mm of air in the joints" if best.joint > 0.002e-3 else ""
            lines.append(
                f"Of the steels known here it is most like {best.steel} ({percent(best.probability)}){joint}, to "
                f"within "
                f"{percent(best.scatter)} of the current; {_listed(others, 'or') or 'none'} would do as well."
                if others
                else f"Of the steels known here it is most like {best.steel} ({percent(best.probability)}){joint}, to "
                f"within {percent(best.scatter)} of the current."
            )
        else:
            lines.append(
                f"None of the steels known here fits the curve within a quarter ({best.steel} comes nearest, "
                f"{percent(best.scatter)}): look at turns, core size and the ammeter's range, or a gap."
            )
    return lines


def _powers(survey: Survey) -> list[str]:
    if not survey.powers:
        return []
    lines = [f"{_va(one.power)} by {one.reason}." for one in survey.powers]
    label = survey.label_power
    if label is not None:
        said = (
            f"The label says {label:.0f} VA"
            if survey.label_is_written
            else f"The plate's volts and amps make {label:.0f} VA"
        )
        least = min(survey.powers, key=lambda one: one.power.high)
        if label > least.power.high:
            lines.append(
                f"{said}: more than {least.reason} allows. Plates of old units are wrong by up to twice; go by the "
                f"least of "
                "these."
            )
        else:
            lines.append(f"{said}: nothing here speaks against it.")
    return lines


def _va(power: Interval) -> str:
    low, high = power.value / (1 + 2 * power.relative), power.value * (1 + 2 * power.relative)
    return f"{low:.0f} to {high:.0f} VA"


def _tesla(flux: Interval) -> str:
    return f"{flux.value:.2f} ± {flux.expanded:.2f} T"


def _listed(names: list[str], joint: str = "and") -> str:
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {joint} {names[-1]}"
