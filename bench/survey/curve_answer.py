"""What the exciting curve of the unit as found says of its steel, and of the new supply."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.job.profiles import known, load_table
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import Steel
from bench.survey.evidence import Evidence
from bench.survey.interval import Interval
from bench.survey.knee import Curve, knee_of
from bench.survey.network import KNOWN_LOG, Posterior
from bench.survey.steel_fit import SteelFit, fit_steels

__all__ = ["CurveAnswer", "core_as_found", "curve_answer", "steel_knee"]


@dataclass(frozen=True)
class CurveAnswer:
    """What the exciting curve as found says: its knee [V on the fed winding, and T], and, at the volts and frequency
    that the new supply means for the same turns per volt, the current and what 10 % more volts do to it."""

    frequency: float
    turns: float | None
    knee_volts: Interval | None
    knee_flux: Interval | None
    at_new_frequency: bool
    new_volts: float | None
    new_amps: float | None
    growth: float | None
    highest_flux: float | None


def core_as_found(job: Job) -> MagneticCore | None:
    """The core as found, with the job's steel or the family's where none is named."""
    shape, area = job.core.shape, job.core.net_area
    if shape is None or area is None:
        return None
    assembly = load_table("limits", "small-mains")["assembly"]
    kind = "butt" if job.core.interleave == "butt" else "interleaved"
    return MagneticCore(
        area=area,
        path=shape.path,
        steel=Steel.from_table(load_table("steels", job.core.steel or "nonoriented-unknown")),
        joint=assembly[f"joint_{kind}_mm"] * 1e-3,
        building_factor=assembly["building_factor"],
    )


def curve_answer(
    job: Job,
    found: AsFound,
    evidence: Evidence,
    posterior: Posterior,
    core: MagneticCore | None,
    rules: dict[str, Any],
) -> tuple[CurveAnswer | None, list[SteelFit]]:
    frequency = found.frequency
    if len(found.exciting) < 3 or frequency is None:
        return None, []
    curve = Curve.of(found.exciting, frequency)
    turns = found.curve_turns
    if turns is None and found.fed in posterior.windings and posterior.u_log(found.fed) < KNOWN_LOG:
        turns = posterior.turns(found.fed)
    knee = knee_of(curve)
    made, supply = job.made_for or job.supply, job.supply
    new_volts = None
    nominal = _nominal(job, found)
    if nominal is not None and supply is not None and made is not None:
        # The same turns per volt on the new frequency: as much flux as these volts make at the curve's frequency.
        new_volts = nominal * frequency / supply.frequency
    steels: list[SteelFit] = []
    knee_flux, highest = None, None
    if core is not None and turns is not None:
        read = evidence.resistances.get(found.fed)
        steels = fit_steels(
            {
                name: Steel.from_table(load_table("steels", name))
                for name in known("steels")
                if name != "nonoriented-unknown"  # the same curves as the grades, under no grade's name
            },
            found.exciting,
            turns,
            frequency,
            core,
            0.0 if read is None else read.value,
            rules,
        )
        per_volt = 1 / (math.pi * math.sqrt(2.0) * frequency * turns * core.area)
        highest = curve.volts[-1] * per_volt
        if knee is not None:
            knee_flux = knee.times(per_volt, float(rules["core"]["u_log_area"]))
    return (
        CurveAnswer(
            frequency=frequency,
            turns=turns,
            knee_volts=knee,
            knee_flux=knee_flux,
            at_new_frequency=supply is not None and abs(frequency / supply.frequency - 1) < 0.01,
            new_volts=new_volts,
            new_amps=None if new_volts is None else curve.amps_at(new_volts),
            growth=None if new_volts is None else curve.growth(new_volts),
            highest_flux=highest,
        ),
        steels,
    )


def _nominal(job: Job, found: AsFound) -> float | None:
    """Nominal volts of the winding that took the curve."""
    try:
        plate = found.get_winding(found.fed).nameplate_voltage if found.fed else None
    except KeyError:
        plate = None
    return plate or (job.made_for.voltage if job.made_for is not None else None)


def steel_knee(job: Job, steels: list[SteelFit], curve: CurveAnswer | None) -> Interval | None:
    """Flux density [T] of the knee: as read where the curve reached it, else of the steel that fits or is named."""
    if curve is not None and curve.knee_flux is not None:
        return curve.knee_flux
    name = steels[0].steel if steels and steels[0].fits else job.core.steel
    if not name:
        name = "nonoriented-unknown"
    steel = Steel.from_table(load_table("steels", name))
    return Interval(steel.knee_flux_density, steel.knee_spread)
