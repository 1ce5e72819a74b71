"""The readings that a unit of this design should give, good or changed by a fault."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from bench.design.as_drawn import AsDrawn
from bench.design.core_drawn import changed
from bench.design.spans import spans
from bench.job.expectation import GOOD, ExcitingCurve, Expectation, Span, Variant
from bench.job.model import Job
from bench.magnetics.emf import flux_density
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import curve_causes, exciting_curve, wave_factors
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY

__all__ = ["NotEnough", "expect", "needs_for_test", "with_loop"]


class NotEnough(ValueError):
    """The job does not yet say enough; `needs` names the keys, one each."""

    def __init__(self, needs: list[str]) -> None:
        super().__init__("the job does not yet say " + ", ".join(needs))
        self.needs = needs


def needs_for_test(job: Job) -> list[str]:
    """Keys that a job must hold before its unit can be tested against it."""
    needs = []
    if job.supply is None:
        needs.append("supply.voltage and supply.frequency")
    if job.primary is None:
        needs.append("a winding with role = 'primary'")
    if not job.secondaries:
        needs.append("a winding with role = 'secondary'")
    needs.extend(f"winding.{winding.name}.turns" for winding in job.winding if winding.turns is None)
    return needs


def expect(
    job: Job,
    rules: dict[str, Any],
    variant: Variant = GOOD,
    *,
    with_curve: bool = True,
    drawn: AsDrawn | None = None,
) -> Expectation:
    """Expected readings of a job, from its turns, copper and steel; never from a measurement of the unit itself.

    rules: a table of profiles/limits, for the allowances of a hand-made unit;  with_curve: whether the exciting curve
    is worked out, the longest part;  drawn: of this job and these rules, where it is asked for many variants of a job
    that has all it needs.  Raises NotEnough.
    """
    assembly = rules["assembly"]
    if drawn is None:
        needs = needs_for_test(job)
        if needs:
            raise NotEnough(needs)
        drawn = AsDrawn(job, assembly)
    assert job.supply is not None
    assert job.primary is not None
    found = drawn.good_spans if variant == GOOD else spans(job, drawn.sections, assembly, variant)
    missing = []
    curve = None
    nominal_flux = None
    if drawn.core is None:
        missing.append("core.lamination (or tongue and window), core.stack, core.steel: no exciting current, no watts")
    elif not LOWEST_LOSS_FREQUENCY <= job.supply.frequency <= HIGHEST_LOSS_FREQUENCY:
        missing.append(
            f"a steel known at {job.supply.frequency:g} Hz: no exciting current, no watts outside "
            f"{LOWEST_LOSS_FREQUENCY:g} to {HIGHEST_LOSS_FREQUENCY:g} Hz"
        )
    else:
        core = changed(drawn.core, variant)
        fed_turns = abs(found[job.primary.name].turns)
        if with_curve:
            wave = variant == GOOD  # a reading is corrected by the design's wave, never by a fault's
            curve = _core_curve(core, fed_turns, job.supply.voltage, job.supply.frequency, wave=wave)
            curve = with_loop(curve, fed_turns, variant.loop_conductance)
        nominal_flux = flux_density(job.supply.voltage, job.supply.frequency, fed_turns, core.area)
    if with_curve and drawn.refused_curve:
        missing.append(
            f"as_found.exciting of a good core: {drawn.refused_curve}; the published curves of the steel are taken"
        )
    for span in found.values():
        if span.resistance is None:
            missing.append(
                f"winding.{span.winding}.wire, core size, or room between margins: no resistance of {span.name}"
            )
    stack = None if job.core.stack is None else job.core.stack * variant.stack_factor
    return Expectation(
        fed=job.primary.name,
        voltage=job.supply.voltage,
        frequency=job.supply.frequency,
        spans=found,
        curve=curve,
        flux_density=nominal_flux,
        stack=stack,
        u_log_drop=float(assembly["u_log_drop"]),
        missing=tuple(missing),
        window_permeance=drawn.window_permeance,
        leakage_ohms=_leakage_ohms(drawn, found),
        screen_ohms=drawn.screen_ohms,
        drawn=drawn.turns,
    )


def _leakage_ohms(drawn: AsDrawn, found: dict[str, Span]) -> dict[str, float]:
    """Reactance [ohm] of each secondary against the primary, on the secondary's side; none without places for all.

    2 pi f (L_ss + a^2 L_pp - 2 a L_ps) with a = N_s / N_p.
    """
    leakage, job = drawn.leakage, drawn.job
    if leakage is None or job.supply is None or job.primary is None:
        return {}
    names = [one.name for one in job.winding]
    p = names.index(job.primary.name)
    ohms = {}
    for s, name in enumerate(names):
        if s == p:
            continue
        a = abs(found[name].turns / found[job.primary.name].turns)
        henries = float(leakage[s, s] + a**2 * leakage[p, p] - 2 * a * abs(leakage[p, s]))
        ohms[name] = 2 * math.pi * job.supply.frequency * max(0.0, henries)
    return ohms


def _core_curve(core: MagneticCore, turns: float, voltage: float, frequency: float, *, wave: bool) -> ExcitingCurve:
    """The exciting curve of a good core, from 3 % to 130 % of nominal."""
    volts = np.concatenate([voltage * np.array([0.03, 0.06, 0.12]), np.linspace(0.2, 1.3, 34) * voltage])
    points = exciting_curve(core, turns, volts, frequency)
    causes = curve_causes(core, turns, volts, frequency, points)
    form_factor, crest_factor = wave_factors(core, turns, volts, frequency) if wave else (None, None)
    return ExcitingCurve(
        voltage=volts,
        current=points.current,
        u_log_current=np.sqrt(np.sum(causes.on_current**2, axis=0)),
        core_watts=points.core_loss,
        u_log_watts=np.sqrt(np.sum(causes.on_loss**2, axis=0)),
        form_factor=form_factor,
        crest_factor=crest_factor,
        on_current=causes.on_current,
        on_watts=causes.on_loss,
    )


def with_loop(curve: ExcitingCurve, turns: float, conductance: float) -> ExcitingCurve:
    """A good core's curve with a closed loop of `conductance` [S] for one turn: a current in phase with the EMF.

    What the loop draws is known once its ohms are: only the core's own part keeps its spread.  The factors of the wave
    are left out: a reading is corrected by the design's wave, never by a fault's.
    """
    if conductance == 0.0:
        return curve
    loop = conductance * (curve.voltage / turns) ** 2
    working = curve.core_watts / curve.voltage
    reactive_squared = np.maximum(0.0, curve.current**2 - working**2)
    watts = curve.core_watts + loop
    current = np.sqrt(reactive_squared + (watts / curve.voltage) ** 2)
    return ExcitingCurve(
        voltage=curve.voltage,
        current=current,
        u_log_current=curve.u_log_current * curve.current / current,
        core_watts=watts,
        u_log_watts=curve.u_log_watts * curve.core_watts / watts,
        on_current=None if curve.on_current is None else curve.on_current * curve.current / current,
        on_watts=None if curve.on_watts is None else curve.on_watts * curve.core_watts / watts,
    )
