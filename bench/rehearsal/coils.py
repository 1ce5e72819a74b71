"""The turns of a unit as they were laid: sections of windings, and foils that are turns too."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bench.job.winding import Screen, Winding
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.faults.wire import SIZE_STEP
from bench.rehearsal.former import Seat, wire_diameter
from bench.rehearsal.parts import RESISTIVITY_20, Coil, Contact
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.variation import Variation

__all__ = ["screen_foil", "winding_coils"]

_FOIL_JOINT = 5e-3  # ohm of the earth wire soldered to a foil


def winding_coils(winding: Winding, seat: Seat, variation: Variation, faults: Sequence[Fault]) -> list[Coil]:
    """The sections of a winding, with turns that are missing or too many, and halves wound the other way.

    Strands with as many turns are one coil; one with other turns is a coil beside it, joined at both ends. Wire of a
    wrong size lies where that of the job would: its layers and mean turn are the job's. Raises RehearsalProblem.
    """
    own = variation.winding(winding.name)
    turned = {f.places[0].tap for f in _on(winding, faults, FaultName.WINDING_REVERSED)} - {""}
    thicker = (1 + own.wire) * SIZE_STEP ** sum(f.size for f in _on(winding, faults, FaultName.WIRE_WRONG))
    per_metre = RESISTIVITY_20 / (math.pi / 4 * (wire_diameter(winding) * thicker) ** 2)
    total = winding.turns or 1
    coils, done = [], 0
    for begin, end, turns in _sections(winding, faults):
        middle = (done + turns / 2) / total
        done += turns
        turn = seat.mean_turn(middle) if winding.mean_turn is None else winding.mean_turn
        turn *= 1 + own.mean_turn
        lead_outs = own.lead_out * ((begin == "start") + (end == "finish"))
        for laid, strands in _strands(winding, end, turns, faults):
            resistance = per_metre * (laid * turn + lead_outs) / strands
            if winding.resistance is not None:
                resistance = winding.resistance * laid / total / thicker**2 * winding.strands / strands
            coils.append(
                Coil(
                    winding=winding.name,
                    begin=f"{winding.name}/{begin}",
                    end=f"{winding.name}/{end}",
                    turns=winding.polarity * laid * (-1 if end in turned else 1),
                    resistance=resistance,
                    depth=seat.inner + seat.build * (middle - turns / total / 2),
                    build=seat.build * turns / total,
                    mean_turn=turn,
                )
            )
    return coils


def _sections(winding: Winding, faults: Sequence[Fault]) -> list[tuple[str, str, int]]:
    """(lead, next lead, turns between) along the winding, with its taps where they truly come out."""
    late = {tap: 0 for _, tap, _ in winding.sections}
    for fault in _on(winding, faults, FaultName.TAP_MISPLACED):
        late[fault.places[0].tap] += round(fault.size)
    return [(begin, end, turns + late[end] - late.get(begin, 0)) for begin, end, turns in winding.sections]


def _strands(winding: Winding, end: str, turns: int, faults: Sequence[Fault]) -> list[tuple[float, int]]:
    """Turns and number of the strands of a section that carry current; raises RehearsalProblem where none is left."""
    wrong = {f.places[0].tap or "finish": f.size for f in _on(winding, faults, FaultName.TURNS_WRONG)}
    unequal = _on(winding, faults, FaultName.STRANDS_UNEQUAL)
    more = sum(f.size for f in unequal if (f.places[0].tap or "finish") == end)
    broken = sum(f.places[0].tap in ("", end) for f in _on(winding, faults, FaultName.STRAND_OPEN))
    laid, whole = turns + wrong.get(end, 0.0), winding.strands - broken
    if whole < 1:
        raise RehearsalProblem(f"fault strand_open: no strand of {winding.name} is left, expected winding_open")
    if min(laid, laid + more) < 1:
        raise RehearsalProblem(f"faults of {winding.name}: no turn is left before {end}, expected fewer taken away")
    if not more:
        return [(laid, whole)]
    # The odd strand is never the broken one.
    return ([(laid, whole - 1)] if whole > 1 else []) + [(laid + more, 1)]


def screen_foil(screen: Screen, seat: Seat, height: float, faults: Sequence[Fault]) -> tuple[list[Coil], list[Contact]]:
    """The foil as a turn, where both its ends are out or it closes; and the joint of its earth wire, where it holds.

    The wire that goes to earth ends at the node `tail`; broken off the foil it still reads well from outside.
    """
    own = [fault for fault in faults if fault.places and fault.places[0].name == screen.name]
    near, far, tail = (f"{screen.name}/{end}" for end in ("lead", "far", "tail"))
    contacts = [Contact(far, near, max(f.size, 1e-6)) for f in own if f.name is FaultName.SCREEN_CLOSED]
    coils = []
    if contacts or screen.far_lead is not None:
        turn = seat.mean_turn()
        ohms = RESISTIVITY_20 * turn / (screen.thickness * 0.9 * height)
        coils.append(Coil(screen.name, near, far, 1.0, ohms, seat.inner, seat.build, turn))
    if not any(fault.name is FaultName.SCREEN_UNEARTHED for fault in own):
        contacts.append(Contact(tail, near, _FOIL_JOINT))
    return coils, contacts


def _on(winding: Winding, faults: Sequence[Fault], name: FaultName) -> list[Fault]:
    return [fault for fault in faults if fault.name is name and fault.places[0].name == winding.name]
