"""The words of a diagnosis without a design: sizes, sentences, and what can't be told."""

from __future__ import annotations

import math

from bench.diagnosis.faults import explains
from bench.diagnosis.without_design.candidates import LOOPS
from bench.diagnosis.without_design.core_change import Change, loss_of, reactive_of, taken
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.foretelling import Foreteller
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.readings import What
from bench.diagnosis.without_design.weighing import Weighed
from bench.quantities import show

__all__ = ["ALWAYS", "NOTHING_TO_COMPARE", "not_told", "sentence", "size_of"]

ALWAYS = (
    "without a design: compared with the readings as found and the nameplate only; turns by number, wire, stack and "
    "steel can't be told"
)
NOTHING_TO_COMPARE = (
    "expected as_found.exciting, as_found.volts, as_found.resistance or rated volts of the windings in the job, and "
    "readings of the same things"
)
_MU_0 = 4e-7 * math.pi


def sentence(fault: str, winding: str, size: str) -> str:
    """A finding in one sentence; where the words for a design would claim one, others."""
    match fault:
        case "turns_wrong":
            return f"{winding} has {size}"
        case "core_steel_degraded":
            return f"the core has about {size} the loss that it had"
        case "reading_wrong":
            return f"a reading was taken wrongly: {size}"
        case "supply_wrong":
            return f"the supply is not what it was, or not what the job says ({size})"
        case "turns_shorted":
            return f"a turn is shorted, no telling in which winding ({size})"
        case "screen_closed":
            return f"a screen, if there is one, closes on itself ({size})"
        case "laminations_bridged":
            return f"laminations are bridged ({size})"
    return explains(fault, winding, size)


def size_of(group: list[Weighed], known: Known, foreteller: Foreteller) -> str:
    """Of all sizes of one fault at one place."""
    best = max(group, key=lambda one: one.probability)
    candidate, reference = best.candidate, foreteller.reference
    if candidate.turns:
        turns = math.expm1(best.turns)
        beside = "than it had" if not _by_plate(candidate.turns, known) else "than the nameplate asks for"
        return f"about {abs(turns):.1%} {'more' if turns > 0 else 'fewer'} turns {beside}"
    if reference is None:
        return candidate.size
    before = best.copper.before
    loss = loss_of(reference, before)
    if candidate.fault == "core_gap":
        share = _mean(group, [one.candidate.change.gap for one in group])
        amps = share * reactive_of(reference.volts, reference.current, loss)
        length = gap_length(amps, reference.volts, known)
        told = f"{show(amps, 'A', 2)} more at {reference.volts:g} V"
        return told if length is None else f"{length * 1e3:.2g} mm of air in all ({told})"
    if candidate.fault in LOOPS:
        share = _mean(group, [one.candidate.change.loop for one in group])
        now, good = (taken(reference, one, reference, best.copper.pair).watts for one in (Change(loop=share), Change()))
        return f"about {show(now - good, 'W', 2)} more at {reference.volts:g} V"
    return candidate.size


def gap_length(amps: float, volts: float, known: Known) -> float | None:
    """Air [m] that takes so much reactive current [A rms] at `volts` [V rms]; None where turns or core are not known.

    g = mu0 N^2 A 2 pi f I / V, from N I = B g / mu0 and V = 2 pi f N A B, all RMS; any textbook.  Fringing left out,
    which makes the true gap a little longer.
    """
    turns, area, frequency = known.shown.turns, known.shown.area, known.frequency
    if turns is None or area is None or frequency is None:
        return None
    return _MU_0 * turns**2 * area * 2 * math.pi * frequency * amps / volts


def _mean(group: list[Weighed], sizes: list[float]) -> float:
    """Of sizes, in logarithms, by their probabilities."""
    weights = [one.probability for one in group]
    total = sum(weights)
    if total <= 0:
        return max(zip(weights, sizes, strict=True))[1]
    return math.exp(sum(weight * math.log(size) for weight, size in zip(weights, sizes, strict=True)) / total)


def _by_plate(winding: str, known: Known) -> bool:
    """Whether its turns are told against the nameplate; those of the fed one also show against its curve as found."""
    if winding == known.shown.fed:
        return not known.curve and any(one.basis == "nameplate" for one in known.ratios.values())
    return winding in known.ratios and known.ratios[winding].basis == "nameplate"


def not_told(named: set[str], known: Known, compared: Compared, *, ohms_read: bool) -> list[str]:
    """What these readings leave open, one sentence each; named: the faults that are among the findings."""
    lines = list(known.left_out)
    lines += compared.left_out
    if "core_gap" in named:
        lacking = [
            words
            for words, value in (
                (f"turns of {known.shown.fed}", known.shown.turns),
                ("size of the core", known.shown.area),
            )
            if value is None
        ]
        if lacking:
            lines.append(f"length of the gap not told: {' and '.join(lacking)} not known")
    if compared.was and not compared.has(What.WATTS):
        lines.append(
            "no watts to compare: current alone tells no gap from a shorted turn, a closed screen or poor steel"
        )
    if compared.was and not compared.has(What.AMPS):
        lines.append("no exciting current to compare: watts alone tell nothing of the joints")
    if named & {*LOOPS, "core_steel_degraded"}:
        lines.append(
            "a shorted turn, a closed screen, bridged laminations and poor steel are told apart by how many watts they "
            "take, no more"
        )
    if compared.has(What.WATTS) and not ohms_read:
        lines.append(
            f"ohms of {known.shown.fed} not known: what its copper takes of the watts is guessed, "
            f"expected --reading 'ohms:{known.shown.fed}=...'"
        )
    ratios = {one.winding for one in compared.rows if one.what is What.VOLTS}
    if "turns_wrong" in named and len(ratios) == 1:
        lines.append(
            f"with one ratio nobody can tell whether {known.shown.fed} or {ratios.pop()} has the wrong turns: "
            "read a second winding"
        )
    return lines
