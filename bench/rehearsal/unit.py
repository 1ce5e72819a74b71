"""The transformer as it truly is: coils, contacts, steel and insulation, faults included."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.job.model import Job
from bench.job.winding import Screen, Winding
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.former import Seat, seats, wire_diameter
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.steel import MU0, Steel, named_steel
from bench.rehearsal.variation import Variation

__all__ = ["Coil", "Contact", "Iron", "Unit", "build_unit"]

_RESISTIVITY_20 = 1.7241e-8  # ohm m, annealed copper (IEC 60028)
_TEMPERATURE_FACTOR = 3.93e-3  # 1/K at 20 degC (IEC 60028)
_BREAK = 1e9  # ohm: what is left across a broken wire
_FOIL_JOINT = 5e-3  # ohm of the earth wire soldered to a foil


@dataclass(frozen=True, slots=True)
class Coil:
    """Turns in a row between two nodes; `turns` carries the sense, `resistance` [ohm] is that at 20 degC."""

    winding: str
    begin: str
    end: str
    turns: float
    resistance: float
    depth: float
    build: float
    mean_turn: float

    def resistance_at(self, temperature: float) -> float:
        """Resistance [ohm] at a temperature [K]."""
        return self.resistance * (1 + _TEMPERATURE_FACTOR * (temperature - 293.15))

    @property
    def wire_area(self) -> float:
        """Cross section [m2] of the copper, by its ohms."""
        return _RESISTIVITY_20 * abs(self.turns) * self.mean_turn / self.resistance


@dataclass(frozen=True, slots=True)
class Contact:
    """A resistance [ohm] between two nodes that a fault put there."""

    begin: str
    end: str
    resistance: float


@dataclass(frozen=True, slots=True)
class Iron:
    """The core: steel area [m2], path [m], total air gap [m], steel and its two scales."""

    steel: Steel
    area: float
    path: float
    gap: float
    field_scale: float
    loss_scale: float

    @property
    def volume(self) -> float:
        """Of steel [m3]."""
        return self.area * self.path


@dataclass(frozen=True, slots=True)
class Unit:
    """All that is true of one transformer; `nodes` tells which true node hangs on each labelled lead.

    earthed: nodes that the earth lead is joined to, besides core and band.
    """

    coils: tuple[Coil, ...]
    contacts: tuple[Contact, ...]
    iron: Iron
    leakage: NDArray[np.float64]
    nodes: dict[str, str]
    insulation: dict[tuple[str, str], float]
    bodies: dict[str, str]
    stack: float
    earthed: tuple[str, ...]


def build_unit(job: Job, variation: Variation, faults: Sequence[Fault] = ()) -> Unit:
    """The true unit of a job under a variation and with faults; raises RehearsalProblem for a job too empty."""
    shape, stack = job.core.shape, job.core.stack
    if job.primary is None:
        raise RehearsalProblem('winding: no primary, expected one with role = "primary" to rehearse this job')
    if job.supply is None:
        raise RehearsalProblem("supply: missing, expected voltage and frequency to rehearse this job")
    laid = seats(job)
    assert shape is not None, "seats refuses such a job"
    assert stack is not None, "seats refuses such a job"
    coils: list[Coil] = []
    for winding in job.winding:
        coils += _coils(winding, laid[winding.name], variation, faults)
    coils, contacts = _with_contacts(coils, faults)
    for screen in job.screen:
        foil, joints = _foil(screen, laid[screen.name], shape.window_height, faults)
        coils += foil
        contacts += joints
    short = sum(fault.size for fault in faults if fault.name is FaultName.CORE_STACK_SHORT)
    true_stack = stack * (1 - short)
    bodies = {winding.name: f"{winding.name}/start" for winding in job.winding}
    bodies |= {screen.name: f"{screen.name}/lead" for screen in job.screen} | {"core": "core"}
    return Unit(
        coils=tuple(coils),
        contacts=tuple(contacts),
        iron=Iron(
            steel=named_steel(job.core.steel),
            area=shape.tongue * true_stack * min(job.core.stacking_factor * variation.stacking_scale, 1.0),
            path=shape.path,
            gap=variation.gap + sum(fault.size for fault in faults if fault.name is FaultName.CORE_GAP),
            field_scale=variation.field_scale,
            loss_scale=variation.loss_scale,
        ),
        leakage=_leakage(coils, shape.window_height),
        nodes=_labels(job, faults),
        insulation=_insulation(bodies, variation, faults),
        bodies=bodies,
        stack=true_stack,
        earthed=tuple(f"{screen.name}/tail" for screen in job.screen),
    )


def _coils(winding: Winding, seat: Seat, variation: Variation, faults: Sequence[Fault]) -> list[Coil]:
    """The sections of a winding, with turns that are missing or too many, and halves wound the other way."""
    own = variation.winding(winding.name)
    wrong = {f.places[0].tap or "finish": f.size for f in _on(winding, faults, FaultName.TURNS_WRONG)}
    turned = {f.places[0].tap for f in _on(winding, faults, FaultName.WINDING_REVERSED)} - {""}
    diameter = wire_diameter(winding) * (1 + own.wire)
    per_metre = _RESISTIVITY_20 / (winding.strands * math.pi / 4 * diameter**2)
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


def _foil(screen: Screen, seat: Seat, height: float, faults: Sequence[Fault]) -> tuple[list[Coil], list[Contact]]:
    """The foil as a turn, where both its ends are out or it closes; and the joint of its earth wire, where it holds.

    The wire that goes to earth ends at the node `tail`; broken off the foil it still reads well from outside.
    """
    own = [fault for fault in faults if fault.places and fault.places[0].name == screen.name]
    near, far, tail = (f"{screen.name}/{end}" for end in ("lead", "far", "tail"))
    contacts = [Contact(far, near, max(f.size, 1e-6)) for f in own if f.name is FaultName.SCREEN_CLOSED]
    coils = []
    if contacts or screen.far_lead is not None:
        turn = seat.mean_turn()
        ohms = _RESISTIVITY_20 * turn / (screen.thickness * 0.9 * height)
        coils.append(Coil(screen.name, near, far, 1.0, ohms, seat.inner, seat.build, turn))
    if not any(fault.name is FaultName.SCREEN_UNEARTHED for fault in own):
        contacts.append(Contact(tail, near, _FOIL_JOINT))
    return coils, contacts


def _on(winding: Winding, faults: Sequence[Fault], name: FaultName) -> list[Fault]:
    return [fault for fault in faults if fault.name is name and fault.places[0].name == winding.name]


def _with_contacts(coils: list[Coil], faults: Sequence[Fault]) -> tuple[list[Coil], list[Contact]]:
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


def _leakage(coils: Sequence[Coil], height: float) -> NDArray[np.float64]:
    """Leakage inductances [H] referred to the flux of the tongue.

    The field in the window at a distance x from the tongue is driven by the ampere turns outside x, so two
    turns share the window flux inside the nearer one: L = mu0 N1 N2 turn / height * nearer depth. The mean over
    both builds is taken point by point, which keeps the energy positive whatever lies where.
    """
    points = (np.arange(12) + 0.5) / 12
    depths = np.array([coil.depth + coil.build * points for coil in coils])
    nearer = np.minimum(depths[:, None, :, None], depths[None, :, None, :]).mean(axis=(2, 3))
    weight = np.array([coil.turns * math.sqrt(coil.mean_turn) for coil in coils])
    return np.asarray(MU0 / height * np.outer(weight, weight) * nearer)


def _labels(job: Job, faults: Sequence[Fault]) -> dict[str, str]:
    """True node behind each lead as it is marked; leads exchanged at winding or at terminating act here."""
    carries = {winding.name: winding.name for winding in job.winding}
    for fault in faults:
        if fault.name is FaultName.LEADS_SWAPPED:
            one, other = fault.places[0].name, fault.places[1].name
            carries[one], carries[other] = carries[other], carries[one]
    reversed_whole = {f.places[0].name for f in faults if f.name is FaultName.WINDING_REVERSED and not f.places[0].tap}
    nodes = {}
    for winding in job.winding:
        for lead in winding.lead_names:
            ends = lead in ("start", "finish")
            true = {"start": "finish", "finish": "start"}.get(lead, lead) if winding.name in reversed_whole else lead
            nodes[f"{winding.name}.{lead}"] = f"{carries[winding.name] if ends else winding.name}/{true}"
    nodes |= {f"{screen.name}.lead": f"{screen.name}/tail" for screen in job.screen}
    nodes |= {f"{screen.name}.far_lead": f"{screen.name}/far" for screen in job.screen if screen.far_lead is not None}
    return nodes


def _insulation(bodies: dict[str, str], variation: Variation, faults: Sequence[Fault]) -> dict[tuple[str, str], float]:
    names = list(bodies)
    found = {
        (one, other): variation.insulation_between(one, other)
        for place, one in enumerate(names)
        for other in names[place + 1 :]
    }
    for fault in faults:
        if fault.name is FaultName.INSULATION_LOW:
            one, other = fault.places[0].name, fault.places[1].name
            found[(one, other) if (one, other) in found else (other, one)] = fault.size
    return found
