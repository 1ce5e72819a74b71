"""Where a wire is broken, or touches itself: coils are cut there, and joined by what is left."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.parts import Coil, Contact

__all__ = ["with_joints"]

_BREAK = 1e9  # ohm: what is left across a broken wire


def with_joints(coils: list[Coil], faults: Sequence[Fault]) -> tuple[list[Coil], list[Contact]]:
    """Cut coils where a turn is shorted or the wire is broken."""
    contacts: list[Contact] = []
    for number, fault in enumerate(faults):
        if fault.name not in (FaultName.TURNS_SHORTED, FaultName.WINDING_OPEN):
            continue
        hit = _hit(coils, fault)
        at = coils.index(hit)
        sign = math.copysign(1.0, hit.turns)
        if fault.name is FaultName.WINDING_OPEN:
            half = hit.turns / 2
            near, far = f"{hit.end}~{number}a", f"{hit.end}~{number}b"
            coils[at : at + 1] = [_part(hit, hit.begin, near, half), _part(hit, far, hit.end, hit.turns - half)]
            contacts.append(Contact(near, far, _BREAK))
        else:
            split = f"{hit.end}~{number}"
            rest = hit.turns - sign
            pieces = [_part(hit, split, hit.end, sign)]
            if abs(rest) >= 1:
                pieces.insert(0, _part(hit, hit.begin, split, rest))
            else:
                split = hit.begin
                pieces = [hit]
            coils[at : at + 1] = pieces
            contacts.append(Contact(split, hit.end, max(fault.size, 1e-6)))
    return coils, contacts


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
