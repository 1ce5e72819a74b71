"""The turns of a unit as they were laid: sections of windings, and foils that are turns too."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bench.job.winding import Screen, Winding
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.former import Seat, wire_diameter
from bench.rehearsal.parts import RESISTIVITY_20, Coil, Contact
from bench.rehearsal.variation import Variation

__all__ = ["screen_foil", "winding_coils"]

_FOIL_JOINT = 5e-3  # ohm of the earth wire soldered to a foil


def winding_coils(winding: Winding, seat: Seat, variation: Variation, faults: Sequence[Fault]) -> list[Coil]:
    """The sections of a winding, with turns that are missing or too many, and halves wound the other way."""
    own = variation.winding(winding.name)
    wrong = {f.places[0].tap or "finish": f.size for f in _on(winding, faults, FaultName.TURNS_WRONG)}
    turned = {f.places[0].tap for f in _on(winding, faults, FaultName.WINDING_REVERSED)} - {""}
    diameter = wire_diameter(winding) * (1 + own.wire)
    per_metre = RESISTIVITY_20 / (winding.strands * math.pi / 4 * diameter**2)
    total = winding.turns or 1
    coils, done = [], 0
    for begin, end, turns in winding.sections:
        middle = (done + turns / 2) / total
        done += turns
        turn = seat.mean_turn(middle) if winding.mean_turn is None else winding.mean_turn
        turn *= 1 + own.mean_turn
        laid = turns + wrong.get(end, 0.0)
        lead_outs = own.lead_out * ((begin == "start") + (end == "finish"))
        resistance = per_metre * (laid * turn + lead_outs)
        if winding.resistance is not None:
            resistance = winding.resistance * laid / total / (1 + own.wire) ** 2
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
