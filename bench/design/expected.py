"""The readings that a unit of this design should give, good or changed by a fault."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.design.seats import Seat, seats, section_mean_turn
from bench.design.steel_as_found import core_as_found
from bench.design.winding_leakage import winding_leakage
from bench.job.expectation import GOOD, ExcitingCurve, Expectation, Span, Variant
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.job.winding import Winding
from bench.magnetics.copper import wire_resistance
from bench.magnetics.emf import flux_density
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import curve_log_spreads, exciting_curve, wave_factors
from bench.magnetics.steel import HIGHEST_LOSS_FREQUENCY, LOWEST_LOSS_FREQUENCY, MU_0, Steel

__all__ = ["NotEnough", "expect", "magnetic_core", "needs_for_test", "with_loop"]


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


def expect(job: Job, rules: dict[str, Any], variant: Variant = GOOD, *, with_curve: bool = True) -> Expectation:
    """Expected readings of a job, from its turns, copper and steel; never from a measurement of the unit itself.

    rules: a table of profiles/limits, for the allowances of a hand-made unit;  with_curve: whether the exciting curve
    is worked out, by far the longest part.  Raises NotEnough.
    """
    needs = needs_for_test(job)
    if needs:
        raise NotEnough(needs)
    assert job.supply is not None
    assert job.primary is not None
    assembly = rules["assembly"]
    spans = _spans(job, assembly, variant)
    core = magnetic_core(job, assembly, variant)
    missing = []
    curve = None
    nominal_flux = None
    if core is None:
        missing.append("core.lamination (or tongue and window), core.stack, core.steel: no exciting current, no watts")
    elif not LOWEST_LOSS_FREQUENCY <= job.supply.frequency <= HIGHEST_LOSS_FREQUENCY:
        missing.append(
            f"a steel known at {job.supply.frequency:g} Hz: no exciting current, no watts outside "
            f"{LOWEST_LOSS_FREQUENCY:g} to {HIGHEST_LOSS_FREQUENCY:g} Hz"
        )
    else:
        fed_turns = abs(spans[job.primary.name].turns)
        if with_curve:
            wave = variant == GOOD  # a reading is corrected by the design's wave, never by a fault's
            curve = _core_curve(core, fed_turns, job.supply.voltage, job.supply.frequency, wave=wave)
            curve = with_loop(curve, fed_turns, variant.loop_conductance)
        nominal_flux = flux_density(job.supply.voltage, job.supply.frequency, fed_turns, core.area)
    refused = _refused_curve(job, assembly) if with_curve else ""
    if refused:
        missing.append(f"as_found.exciting of a good core: {refused}; the published curves of the steel are taken")
    for span in spans.values():
        if span.resistance is None:
            missing.append(
                f"winding.{span.winding}.wire, core size, or room between margins: no resistance of {span.name}"
            )
    stack = None if job.core.stack is None else job.core.stack * variant.stack_factor
    return Expectation(
        fed=job.primary.name,
        voltage=job.supply.voltage,
        frequency=job.supply.frequency,
        spans=spans,
        curve=curve,
        flux_density=nominal_flux,
        stack=stack,
        u_log_drop=float(assembly["u_log_drop"]),
        missing=tuple(missing),
        window_permeance=_window_permeance(job),
        leakage_ohms=_leakage_ohms(job, spans),
        screen_ohms=_screen_ohms(job),
        drawn={span.name: span.turns for span in (spans if variant == GOOD else _spans(job, assembly, GOOD)).values()},
    )


def _leakage_ohms(job: Job, spans: dict[str, Span]) -> dict[str, float]:
    """Reactance [ohm] of each secondary against the primary, on the secondary's side; none without places for all.

    2 pi f (L_ss + a^2 L_pp - 2 a L_ps) with a = N_s / N_p.
    """
    leakage = _leakage_of(job)
    if leakage is None or job.supply is None or job.primary is None:
        return {}
    names = [one.name for one in job.winding]
    p = names.index(job.primary.name)
    found = {}
    for s, name in enumerate(names):
        if s == p:
            continue
        a = abs(spans[name].turns / spans[job.primary.name].turns)
        henries = float(leakage[s, s] + a**2 * leakage[p, p] - 2 * a * abs(leakage[p, s]))
        found[name] = 2 * math.pi * job.supply.frequency * max(0.0, henries)
    return found


_last_leakage: list[tuple[Job, NDArray[np.float64] | None]] = []


def _leakage_of(job: Job) -> NDArray[np.float64] | None:
    """That of the last job is kept: a diagnosis asks for it once for each of a hundred variants."""
    if not _last_leakage or _last_leakage[0][0] is not job:
        _last_leakage[:] = [(job, winding_leakage(job))]
    return _last_leakage[0][1]


def _refused_curve(job: Job, assembly: dict[str, Any]) -> str:
    """Why the exciting curve as found is no measure of a good core; empty where it is one, or none was read."""
    found = job.as_found
    plain = magnetic_core(job.model_copy(update={"as_found": None}), assembly)
    if found is None or not found.core_kept or plain is None:
        return ""
    return core_as_found(plain, found).refused


def magnetic_core(job: Job, assembly: dict[str, Any], variant: Variant = GOOD) -> MagneticCore | None:
    """The job's core as the flux sees it; None while its size or its steel is not known.

    Where the same laminations go back in, their own curve as found takes the place of the steel's published ones.
    """
    shape, area = job.core.shape, job.core.net_area
    if shape is None or area is None or not job.core.steel:
        return None
    kind = "butt" if job.core.interleave == "butt" else "interleaved"
    core = MagneticCore(
        area=area,
        path=shape.path,
        steel=_steel(job.core.steel),
        joint=assembly[f"joint_{kind}_mm"] * 1e-3,
        building_factor=assembly["building_factor"],
        u_log_area=assembly["u_log_area"],
        u_joint=assembly[f"u_joint_{kind}_mm"] * 1e-3,
        u_log_building=assembly["u_log_building"],
    )
    if job.as_found is not None and job.as_found.core_kept:
        core = core_as_found(core, job.as_found).core
    return replace(core, area=area * variant.stack_factor, joint=core.joint + variant.joint_added)


def _window_permeance(job: Job) -> float:
    """Permeance [H] of the winding space between the leg and the limbs: mu0 x mean turn x half its width / height.

    Half, since the magnetomotive force across it falls to nothing on the way; an upper bound, not a leakage reactance.
    """
    shape, stack = job.core.shape, job.core.stack
    if shape is None or stack is None:
        return 0.0
    around = 2 * (shape.tongue + stack) + math.pi * shape.window_width
    return MU_0 * around * shape.window_width / 2 / shape.window_height


# Resistivity of copper at 20 degC [ohm m]: 1/58 ohm mm2/m (IEC 60028).
_COPPER = 1 / 58e6


def _screen_ohms(job: Job) -> dict[str, float]:
    """Once round each screen's foil [ohm at 20 degC], as wide as nine tenths of the window is high."""
    shape, stack = job.core.shape, job.core.stack
    if shape is None or stack is None:
        return {}
    around = 2 * (shape.tongue + stack) + 0.03
    return {one.name: _COPPER * around / (one.thickness * 0.9 * shape.window_height) for one in job.screen}


@lru_cache(maxsize=8)
def _steel(name: str) -> Steel:
    return Steel.from_table(load_table("steels", name))


def _core_curve(core: MagneticCore, turns: float, voltage: float, frequency: float, *, wave: bool) -> ExcitingCurve:
    """The exciting curve of a good core, from 3 % to 130 % of nominal."""
    volts = np.concatenate([voltage * np.array([0.03, 0.06, 0.12]), np.linspace(0.2, 1.3, 34) * voltage])
    points = exciting_curve(core, turns, volts, frequency)
    u_log_current, u_log_watts = curve_log_spreads(core, turns, volts, frequency)
    form_factor, crest_factor = wave_factors(core, turns, volts, frequency) if wave else (None, None)
    return ExcitingCurve(
        voltage=volts,
        current=points.current,
        u_log_current=u_log_current,
        core_watts=points.core_loss,
        u_log_watts=u_log_watts,
        form_factor=form_factor,
        crest_factor=crest_factor,
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
    )


def _spans(job: Job, assembly: dict[str, Any], variant: Variant) -> dict[str, Span]:
    laid = seats(job)
    assert job.primary is not None
    primary_sign = -1 if job.primary.name in variant.reversed_spans else 1
    primary_sign *= job.primary.polarity
    spans: dict[str, Span] = {}
    for winding in job.winding:
        labelled = _labelled(winding.name, variant)
        source = job.get_winding(labelled)
        if labelled != winding.name and (source.taps or winding.taps):
            source = winding  # tapped windings are not exchanged whole: nobody mistakes three leads for two
        u_log = math.hypot(assembly["u_log_mean_turn"], assembly["u_log_wire"])
        for span in _winding_spans(job, winding, source, laid, u_log, variant):
            # All signs are counted against the primary's.
            spans[span.name] = Span(
                name=span.name,
                winding=span.winding,
                start=span.start,
                finish=span.finish,
                turns=span.turns * primary_sign,
                resistance=span.resistance,
                u_log_resistance=span.u_log_resistance,
                wire_diameter=span.wire_diameter,
                whole=span.whole,
            )
    return spans


def _labelled(name: str, variant: Variant) -> str:
    if variant.swapped is not None and name in variant.swapped:
        first, second = variant.swapped
        return second if name == first else first
    return name


def _winding_spans(
    job: Job, label: Winding, source: Winding, laid: dict[str, Seat], u_log: float, variant: Variant
) -> list[Span]:
    """Whole winding, then its sections when it has taps."""
    assert source.turns is not None
    open_here = variant.open_winding == source.name
    whole_sign = source.polarity * (-1 if source.name in variant.reversed_spans else 1)
    spans = []
    total_turns, begun = 0.0, 0
    for start, finish, turns in source.sections:
        name = source.name if len(source.sections) == 1 else f"{source.name}.{finish}"
        added = variant.turns_added.get(name, 0.0)
        if len(source.sections) > 1:
            added += variant.turns_added.get(source.name, 0.0) / len(source.sections)
        sign = whole_sign * (-1 if len(source.sections) > 1 and name in variant.reversed_spans else 1)
        wound = turns + added
        total_turns += sign * wound
        length = section_mean_turn(job, laid, source.name, begun, begun + turns)
        begun += turns
        resistance = _resistance(source, wound, length, open_here or variant.open_winding == name)
        spans.append((start, finish, name, sign * wound, resistance))
    diameter = None if source.wire is None else source.wire.diameter
    whole_resistance = _sum_known([r for *_, r in spans])
    whole = Span(label.name, label.name, "start", "finish", total_turns, whole_resistance, u_log, diameter, whole=True)
    if len(spans) == 1:
        return [whole]
    parts = [
        Span(name, label.name, start, finish, turns, resistance, u_log, diameter, whole=False)
        for start, finish, name, turns, resistance in spans
    ]
    return [whole, *parts]


def _resistance(winding: Winding, turns: float, length: float | None, is_open: bool) -> float | None:
    if is_open:
        return math.inf
    if winding.resistance is not None and winding.turns:
        return winding.resistance * turns / winding.turns
    if length is None or winding.wire is None:
        return None
    return wire_resistance(turns * length, winding.wire.diameter, winding.strands)


def _sum_known(values: list[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None
