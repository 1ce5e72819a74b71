"""Where a wire is broken, touches itself or is badly joined: coils are cut there, and joined by what is left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from bench.rehearsal.faults import Fault, FaultName, SizeKind
from bench.rehearsal.parts import Coil, Contact

__all__ = ["with_joints"]

_BREAK = 1e9  # ohm: what is left across a broken wire
_LEAST = 1e-6  # ohm of any contact


def with_joints(coils: Sequence[Coil], faults: Sequence[Fault]) -> tuple[list[Coil], list[Contact]]:
    """The coils cut where a turn is shorted or the wire is broken, and set off from leads with a poor joint."""
    whole, cut = tuple(coils), list(coils)
    contacts: list[Contact] = []
    for number, fault in enumerate(faults):
        if fault.name is FaultName.WINDING_OPEN:
            contacts += _broken(cut, fault, number)
        elif fault.name is FaultName.TURNS_SHORTED:
            contacts.append(_shorted(cut, fault, number))
    # After the cuts, which find their coil by the lead that it ends at.
    for number, fault in enumerate(faults):
        if fault.name is FaultName.JOINT_POOR:
            cut, contacts = _badly_joined(whole, cut, contacts, fault, number)
    return cut, contacts


def _broken(coils: list[Coil], fault: Fault, number: int) -> list[Contact]:
    """Every strand broken in its middle."""
    last = _hit(coils, fault)
    left = []
    for strand, hit in enumerate([coil for coil in coils if (coil.begin, coil.end) == (last.begin, last.end)]):
        half = hit.turns / 2
        near, far = (f"{hit.end}~{number}{side}{strand}" for side in "ab")
        at = coils.index(hit)
        coils[at : at + 1] = [_part(hit, hit.begin, near, half), _part(hit, far, hit.end, hit.turns - half)]
        left.append(Contact(near, far, _BREAK))
    return left


def _shorted(coils: list[Coil], fault: Fault, number: int) -> Contact:
    """The last turn, joined to the one before."""
    hit = _hit(coils, fault)
    at = coils.index(hit)
    sign = math.copysign(1.0, hit.turns)
    split = f"{hit.end}~{number}"
    rest = hit.turns - sign
    if abs(rest) >= 1:
        coils[at : at + 1] = [_part(hit, hit.begin, split, rest), _part(hit, split, hit.end, sign)]
    else:
        split = hit.begin
    return Contact(split, hit.end, max(fault.size, _LEAST))


def _badly_joined(
    whole: Sequence[Coil], coils: Sequence[Coil], contacts: Sequence[Contact], fault: Fault, number: int
) -> tuple[list[Coil], list[Contact]]:
    """Everything at a lead's node moved behind ohms that stay outside; these do not rise as copper's do when warm."""
    place = fault.places[0]
    lead = f"{place.name}/{place.tap or 'finish'}"
    behind = f"{lead}~{number}"
    ohms = fault.size if fault.kind is SizeKind.OHMS else fault.size * _own_resistance(whole, place.name)

    def moved(node: str) -> str:
        return behind if node == lead else node

    return (
        [replace(coil, begin=moved(coil.begin), end=moved(coil.end)) for coil in coils],
        [replace(one, begin=moved(one.begin), end=moved(one.end)) for one in contacts]
        + [Contact(behind, lead, max(ohms, _LEAST))],
    )


def _own_resistance(coils: Sequence[Coil], winding: str) -> float:
    """Of the whole winding at 20 degC [ohm], start to finish."""
    sections: dict[tuple[str, str], float] = {}
    for coil in coils:
        if coil.winding == winding:
            ends = coil.begin, coil.end
            sections[ends] = sections.get(ends, 0.0) + 1 / coil.resistance
    return sum(1 / siemens for siemens in sections.values())


def _hit(coils: Sequence[Coil], fault: Fault) -> Coil:
    """The coil that a fault sits in: the named half, else the last part of the winding."""
    place = fault.places[0]
    parts = [coil for coil in coils if coil.winding == place.name]
    return next((coil for coil in reversed(parts) if coil.end == f"{place.name}/{place.tap}"), parts[-1])


def _part(coil: Coil, begin: str, end: str, turns: float) -> Coil:
    share = turns / coil.turns
    middle = coil.depth + coil.build / 2
    return Coil(
        coil.winding, begin, end, turns, coil.resistance * share,
        middle - coil.build * share / 2, coil.build * share, coil.mean_turn,
    )  # fmt: skip
