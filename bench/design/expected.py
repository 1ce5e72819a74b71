"""The readings that a unit of this design should give, good or changed by a fault."""

from __future__ import annotations

import math
from typing import Any

from bench.design.as_drawn import AsDrawn
from bench.design.core_curve import with_loop
from bench.design.core_drawn import changed
from bench.design.spans import spans
from bench.job.expectation import GOOD, Expectation, Span, Variant
from bench.job.model import Job
from bench.magnetics.emf import flux_density
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY

__all__ = ["NotEnough", "expect", "needs_for_test"]


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
            # A reading is corrected by the design's wave, never by a fault's.
            curve = drawn.curve.good() if variant == GOOD else drawn.curve.changed(variant, fed_turns)
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
        core_read=drawn.core_read,
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
