"""The most that a transformer can draw in the first half cycle after it is switched on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.magnetics.emf import flux_density
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import MU_0

__all__ = ["Inrush", "air_core_inductance", "inrush_bound", "limiter_for", "worst_flux_density"]


@dataclass(frozen=True)
class Inrush:
    """An upper bound of the inrush current, and what it comes from.

    peak [A]: no peak is higher; flux_density [T]: the worst peak with no resistance anywhere; saturated_at [s]: when
    the core is full at the earliest, after the volts passed through nothing; infinite where it does not fill.
    """

    peak: float
    flux_density: float
    saturated_at: float


def worst_flux_density(peak: float, remanence: float) -> float:
    """Highest B [T] after switching on where the volts pass through nothing: 2 Bm + Br, without any resistance.

    peak Bm [T] of the steady state, remanence Br [T] in the same sense. Raises ValueError.
    Source: doubling by the offset, any textbook; the remanence on top of it, from memory.
    """
    if peak < 0 or remanence < 0:
        raise ValueError("flux densities must not be negative")
    return 2 * peak + remanence


def air_core_inductance(turns: float, mean_turn_area: float, length: float) -> float:
    """Inductance [H] of the fed winding as if it stood in air: N^2 mu0 A / (length + 0.9 r), A = pi r^2.

    turns N; mean_turn_area A [m2]: what the mean turn encloses; length [m] along the leg, more than 0.8 r. The steel
    round a saturated leg can only raise it, so that a current computed with it is not too low.
    Raises ValueError.  Source: H.A. Wheeler, Simple Inductance Formulas for Radio Coils, Proc. IRE 16 (1928), single
    layer, within 1 % (from memory), for a round coil of the same area.
    """
    if not (turns > 0 and mean_turn_area > 0 and length > 0):
        raise ValueError("turns, mean turn area and length must be more than 0")
    radius = math.sqrt(mean_turn_area / math.pi)
    if length < 0.8 * radius:
        raise ValueError(f"a coil {length * 1e3:.3g} mm long is too short, expected over {0.8 * radius * 1e3:.3g} mm")
    return MU_0 * turns**2 * mean_turn_area / (length + 0.9 * radius)


def inrush_bound(
    core: MagneticCore,
    turns: float,
    voltage: float,
    frequency: float,
    resistance: float,
    air_core: float,
    remanence: float,
) -> Inrush:
    """A bound that no inrush current passes, whatever the instant of switching on; secondaries open.

    turns N of the fed winding, voltage [V rms], frequency [Hz]; resistance [ohm] >= 0 of winding, supply and limiter
    together; air_core L [H] > 0 of the fed winding, see `air_core_inductance`; remanence Br [T] >= 0, below where the
    steel's table ends. How much a core keeps, nobody knows beforehand: 0.6 to 0.8 of the last peak for an interleaved
    core without gap, next to nothing with one (from memory).

    Until the steel's table ends, at Bs and Hs, the current is at most that of its magnetising, is = Hs l / N, and the
    flux no more than without any resistance; beyond, every further weber goes through the air-core inductance:
        L di/dt + R i = v from the instant when Bm (1 - cos wt) + Br = Bs,
        i = (V/Z) (sin(wt - phi) - sin(wt_s - phi) e^(-R (t - t_s) / L)),  Z^2 = R^2 + (wL)^2,  tan phi = wL / R,
    and the bound is that of Hs plus the greatest i, or V/R where that is less. It lies above the true peak because the
    steel goes on taking some flux above Bs, and the resistance takes volts before. Where the core does not fill, the
    bound is the current of the worst flux, and far too high behind a large resistance.
    A bound for this core and this steel: what is not known of stack, steel and supply volts is not in it.
    Raises ValueError.  Source: the circuit, any textbook; that it is a bound follows from comparing the two equations,
    and is tried against the time-domain solution in the tests.
    """
    if not (resistance >= 0 and air_core > 0):
        raise ValueError("resistance must not be negative and the air-core inductance must be more than 0")
    full = float(core.steel.flux_density[-1])
    if not 0 <= remanence < full:
        raise ValueError(f"a remanence of {remanence:g} T, expected 0 to below {full:g} T")
    steady = flux_density(voltage, frequency, turns, core.area)
    worst = worst_flux_density(steady, remanence)
    omega, amplitude = 2 * math.pi * frequency, math.sqrt(2.0) * voltage
    # At the peak of the current the flux stands still, and all the volts are across the resistance.
    most = amplitude / resistance if resistance > 0 else math.inf
    if worst <= full:
        peak = _magnetising(core, turns, worst)
        return Inrush(peak=min(peak, most), flux_density=worst, saturated_at=math.inf)
    start = math.acos(1 - (full - remanence) / steady)
    reactance = omega * air_core
    impedance, lag = math.hypot(resistance, reactance), math.atan2(reactance, resistance)

    def rising(angle: float) -> float:
        decay = math.exp(-resistance / reactance * (angle - start))
        return amplitude / impedance * (math.sin(angle - lag) - math.sin(start - lag) * decay)

    # The volts are positive until pi, and past it the current can only fall.
    from scipy.optimize import minimize_scalar  # half a second, for whoever asks for inrush only

    top = minimize_scalar(
        lambda angle: -rising(angle), bounds=(start, math.pi), method="bounded", options={"xatol": 1e-9}
    )
    greatest = max(rising(float(top.x)), rising(math.pi))
    peak = _magnetising(core, turns, full) + greatest
    return Inrush(peak=min(peak, most), flux_density=worst, saturated_at=start / omega)


def limiter_for(
    peak: float,
    core: MagneticCore,
    turns: float,
    voltage: float,
    frequency: float,
    resistance: float,
    air_core: float,
    remanence: float,
) -> float:
    """Ohms to add in series so that the bound is `peak` [A]; 0 where it is below that already.

    The rest as for `inrush_bound`. A filament lamp is far below its hot ohms at that moment and does not count as one.
    Raises ValueError.  Source: the bound, solved for the resistance.
    """
    if not peak > 0:
        raise ValueError(f"peak is {peak:g} A, expected more than 0")

    def excess(added: float) -> float:
        bound = inrush_bound(core, turns, voltage, frequency, resistance + added, air_core, remanence)
        return bound.peak - peak

    if excess(0.0) <= 0:
        return 0.0
    # V/R alone would do.
    enough = math.sqrt(2.0) * voltage / peak
    from scipy.optimize import brentq

    return float(brentq(excess, 0.0, enough * (1 + 1e-9), xtol=1e-9))


def _magnetising(core: MagneticCore, turns: float, b: float) -> float:
    return (float(core.steel.field_at(b)) * core.path + b * core.joint / MU_0) / turns
