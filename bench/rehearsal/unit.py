"""The transformer as it truly is: coils, contacts, steel and insulation, faults included."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.job.model import Job
from bench.rehearsal.coils import screen_foil, winding_coils
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.former import seats
from bench.rehearsal.iron import true_core
from bench.rehearsal.joints import with_joints
from bench.rehearsal.parts import Coil, Contact, Iron
from bench.rehearsal.problems import RehearsalProblem
from bench.rehearsal.steel import MU0
from bench.rehearsal.variation import Variation

__all__ = ["Unit", "build_unit", "leakage_of"]


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
    shape = job.core.shape
    if job.primary is None:
        raise RehearsalProblem('winding: no primary, expected one with role = "primary" to rehearse this job')
    if job.supply is None:
        raise RehearsalProblem("supply: missing, expected voltage and frequency to rehearse this job")
    laid = seats(job)
    assert shape is not None, "seats refuses such a job"
    coils: list[Coil] = []
    for winding in job.winding:
        coils += winding_coils(winding, laid[winding.name], variation, faults)
    coils, contacts = with_joints(coils, faults)
    for screen in job.screen:
        foil, joints = screen_foil(screen, laid[screen.name], shape.window_height, faults)
        coils += foil
        contacts += joints
    true_stack, iron = true_core(job, variation, faults)
    bodies = {winding.name: f"{winding.name}/start" for winding in job.winding}
    bodies |= {screen.name: f"{screen.name}/lead" for screen in job.screen} | {"core": "core"}
    return Unit(
        coils=tuple(coils),
        contacts=tuple(contacts),
        iron=iron,
        leakage=leakage_of(coils, shape.window_height),
        nodes=_labels(job, faults),
        insulation=_insulation(bodies, variation, faults),
        bodies=bodies,
        stack=true_stack,
        earthed=tuple(f"{screen.name}/tail" for screen in job.screen),
    )


def leakage_of(coils: Sequence[Coil], height: float) -> NDArray[np.float64]:
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
