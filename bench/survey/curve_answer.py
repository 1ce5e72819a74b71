"""What the exciting curve of the unit as found says of its steel, and of the new supply."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from bench.job.as_found import AsFound
from bench.job.model import Job
from bench.job.profiles import known, load_table
from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY, Steel
from bench.survey.bearing import Bearing, growth_of_steel
from bench.survey.evidence import Evidence
from bench.survey.flux import Flux
from bench.survey.interval import COVERAGE, Interval
from bench.survey.knee import Curve, Knee, knee_of
from bench.survey.network import KNOWN_LOG, Posterior
from bench.survey.steel_fit import SteelFit, fit_steels

__all__ = ["CurveAnswer", "bearings_of", "core_as_found", "curve_answer"]


_U_LOG_GROWTH = 0.03
"""Of the ratio of two currents read on one meter (common practice, no source)."""


@dataclass(frozen=True)
class CurveAnswer:
    """What the exciting curve as found says.

    knee: where it bends over, in volts [V] on the fed winding;  knee_flux [T];  new_volts [V]: what makes, at the
    curve's frequency, the flux of nominal volts on the new supply with the same turns per volt;  new_amps [A] there;
    growth: of the current from there to the supply's upper limit;  highest_flux [T] that was read;
    excess_watts: watts read over those of the worst sheet of the family (95 %) at the same flux, where they are more.
    """

    frequency: float
    turns: float | None
    knee: Knee
    knee_flux: Interval | None
    at_new_frequency: bool
    new_volts: float | None
    new_amps: float | None
    growth: float | None
    highest_flux: float | None
    excess_watts: float | None = None


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
        u_log_area=assembly["u_log_area"],
        u_joint=assembly[f"u_joint_{kind}_mm"] * 1e-3,
        u_log_building=assembly["u_log_building"],
    )


def curve_answer(
    job: Job,
    found: AsFound,
    evidence: Evidence,
    posterior: Posterior,
    reference: str,
    reference_volts: float | None,
    core: MagneticCore | None,
    rules: dict[str, Any],
) -> tuple[CurveAnswer | None, list[SteelFit], list[str]]:
    """The answer, the steels that fit, and what is wrong with the curve, if anything."""
    frequency = found.frequency
    if len(found.exciting) < 3 or frequency is None:
        return None, [], []
    try:
        curve = Curve.of(found.exciting, frequency)
    except ValueError as problem:
        return None, [], [f"a usable exciting curve: {problem}"]
    turns = found.curve_turns or _turns(posterior, found.fed)
    knee = knee_of(curve)
    made, supply = job.made_for or job.supply, job.supply
    new_volts = None
    nominal = _nominal(found, posterior, turns, reference, reference_volts)
    if nominal is not None and supply is not None and made is not None:
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
        per_volt = 1 / (EMF_FACTOR * frequency * turns * core.area)
        highest = curve.volts[-1] * per_volt
        if knee.volts is not None:
            knee_flux = knee.volts.times(per_volt, float(rules["core"]["u_log_area"]))
    tolerance = 0.10 if supply is None else supply.tolerance
    answer = CurveAnswer(
        frequency=frequency,
        turns=turns,
        knee=knee,
        knee_flux=knee_flux,
        at_new_frequency=supply is not None and abs(frequency / supply.frequency - 1) < 0.01,
        new_volts=new_volts,
        new_amps=None if new_volts is None else curve.amps_at(new_volts),
        growth=None if new_volts is None else curve.growth(new_volts, 1 + tolerance),
        highest_flux=highest,
        excess_watts=None if core is None or turns is None else _excess_watts(found, evidence, core, turns, frequency),
    )
    return answer, steels, []


def _excess_watts(
    found: AsFound, evidence: Evidence, core: MagneticCore, turns: float, frequency: float
) -> float | None:
    """More watts than any sheet takes are no steel's: something is shorted."""
    family = replace(core, steel=Steel.from_table(load_table("steels", "nonoriented-unknown")))
    ohms = evidence.resistances.get(found.fed)
    read = [
        (one.voltage, one.power - (0.0 if ohms is None else ohms.value) * one.current**2)
        for one in found.exciting
        if one.power is not None
    ]
    if not read or not LOWEST_LOSS_FREQUENCY <= frequency <= HIGHEST_LOSS_FREQUENCY:
        return None
    volts, watts = np.array(read).T
    _, u_log = curve_log_spreads(family, turns, volts, frequency)
    worst = exciting_curve(family, turns, volts, frequency).core_loss * np.exp(COVERAGE * u_log)
    excess = float(np.max(watts / worst))
    return excess if excess > 1 else None


def _turns(posterior: Posterior, winding: str) -> float | None:
    if winding not in posterior.windings or posterior.u_log(winding) > KNOWN_LOG:
        return None
    return posterior.turns(winding)


def _nominal(
    found: AsFound, posterior: Posterior, turns: float | None, reference: str, reference_volts: float | None
) -> float | None:
    """Nominal volts of the winding that took the curve: as many as its turns are of the reference winding's."""
    if reference_volts is None:
        return None
    if found.fed in ("", reference):
        return reference_volts
    of_reference = _turns(posterior, reference)
    return None if turns is None or of_reference is None else reference_volts * turns / of_reference


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
    at = None if flux is None else flux.kept or flux.as_made
    if at is None or core is None:
        return ()
    tolerance = at.highest.value / at.nominal.value - 1
    found_core = core
    if steels and steels[0].fits:
        best = steels[0]
        steel = Steel.from_table(load_table("steels", best.steel))
        found_core = replace(core, steel=steel, joint=best.joint)
    verdicts = []
    name = "The core as found"
    if curve is not None and curve.growth is not None:
        verdicts.append(
            Bearing(name, "", at.nominal.value, at.highest.value, Interval(curve.growth, 0.03 * curve.growth))
        )
    else:
        growth = growth_of_steel(found_core, at.nominal, tolerance, at.frequency)
        verdicts.append(Bearing(name, found_core.steel.name, at.nominal.value, at.highest.value, growth))
    if not found.core_kept and job.core.steel:
        new = replace(core, steel=Steel.from_table(load_table("steels", job.core.steel)))
        growth = growth_of_steel(new, at.nominal, tolerance, at.frequency)
        of_new = "A core of the new laminations"
        verdicts.append(Bearing(of_new, new.steel.name, at.nominal.value, at.highest.value, growth, stands=False))
    return tuple(verdicts)
