"""What the exciting curve of the unit as found says of its steel, and of the new supply."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.job.profiles import known, load_table
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import Steel
from bench.survey.bearing import Bearing, growth_of_steel
from bench.survey.evidence import Evidence
from bench.survey.flux import Flux
from bench.survey.interval import Interval
from bench.survey.knee import Curve, knee_of
from bench.survey.network import KNOWN_LOG, Posterior
from bench.survey.steel_fit import SteelFit, fit_steels

__all__ = ["CurveAnswer", "bearings_of", "core_as_found", "curve_answer"]


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


def core_as_found(job: Job, found: AsFound) -> MagneticCore | None:
    """The core as found; its steel is the job's where the same laminations go back in, else nobody knows it."""
    shape, area = job.core.shape, job.core.net_area
    if shape is None or area is None:
        return None
    assembly = load_table("limits", "small-mains")["assembly"]
    kind = "butt" if job.core.interleave == "butt" else "interleaved"
    return MagneticCore(
        area=area,
        path=shape.path,
        steel=Steel.from_table(
            load_table("steels", (job.core.steel if found.core_kept else "") or "nonoriented-unknown")
        ),
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


def bearings_of(
    job: Job,
    found: AsFound,
    flux: Flux | None,
    core: MagneticCore | None,
    curve: CurveAnswer | None,
    steels: list[SteelFit],
) -> tuple[Bearing, ...]:
    """What the core as found bears with the same turns per volt on the new supply; and the new laminations, if they
    are others: by the curve that was read where it reaches, else by the steel that fits it, else by its name."""
    if flux is None or core is None:
        return ()
    at = flux.kept or flux.as_made
    tolerance = at.highest.value / at.nominal.value - 1
    found_core = core
    if steels and steels[0].fits:
        best = steels[0]
        steel = Steel.from_table(load_table("steels", best.steel))
        found_core = replace(core, steel=steel, joint=best.joint)
    verdicts = []
    if curve is not None and curve.growth is not None:
        verdicts.append(Bearing("The core as found", "", at.highest.value, Interval(curve.growth, 0.02 * curve.growth)))
    else:
        growth = growth_of_steel(found_core, at.nominal.value, tolerance, at.frequency)
        verdicts.append(Bearing("The core as found", found_core.steel.name, at.highest.value, growth))
    if not found.core_kept and job.core.steel:
        new = replace(core, steel=Steel.from_table(load_table("steels", job.core.steel)))
        growth = growth_of_steel(new, at.nominal.value, tolerance, at.frequency)
        verdicts.append(
            Bearing("A core of the new laminations", new.steel.name, at.highest.value, growth, stands=False)
        )
    return tuple(verdicts)
