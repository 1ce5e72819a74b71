"""A core behind a resistance as ngspice takes it: the flux is a capacitor's charge, the steel a source."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["CoreCircuit", "excitation_netlist", "field_expression", "field_table"]

STEPS_A_CYCLE = 1000


@dataclass(frozen=True)
class CoreCircuit:
    """A winding on a core, SI: volts RMS at its terminals and what stands in their way.

    field: ngspice's expression of H [A/m] in v(b), the flux density in teslas; loss: flux densities [T] with their
    loss [W].  One: the loss is that of a resistor.  Two: a source whose loss goes with a power of the EMF through both.
    """

    title: str
    field: str
    turns: float
    area: float
    path: float
    joint: float
    voltage: float
    frequency: float
    resistance: float
    inductance: float
    loss: tuple[tuple[float, float], ...]


def field_expression(mu_i: float, b_max: float, c_a: float, c_b: float, n: float) -> str:
    """H of a curve in closed form: mu_r = 1 + (mu_i - 1 + c_a b) / (1 + c_b b + b^n), b = |B| / b_max."""
    b = f"(abs(v(b))/{b_max:.10g})"
    return f"v(b)/(4e-7*pi*(1+({mu_i - 1:.10g}+{c_a:.10g}*{b})/(1+{c_b:.10g}*{b}+pwr({b},{n:.10g}))))"


def field_table(flux_density: NDArray[np.float64], field: NDArray[np.float64]) -> str:
    """H of published points, for ngspice to interpolate: 30 points between each two, on a straight line in logs.

    Below the first point the permeability stays; above the last it is that of air, as far as 5 T.
    """
    logs = np.log(flux_density)
    dense = np.unique(np.concatenate([np.linspace(a, b, 31) for a, b in itertools.pairwise(logs)]))
    b = np.concatenate([np.exp(dense), [5.0]])
    h = np.concatenate([np.exp(np.interp(dense, logs, np.log(field))), [0.0]])
    h[-1] = h[-2] + (b[-1] - b[-2]) / (4e-7 * math.pi)
    pairs = [(-x, -y) for x, y in zip(b[::-1], h[::-1], strict=True)] + [(0.0, 0.0)] + list(zip(b, h, strict=True))
    lines = [", ".join(f"{x:.7g},{y:.7g}" for x, y in pairs[i : i + 5]) for i in range(0, len(pairs), 5)]
    return "pwl(v(b),\n+ " + ",\n+ ".join(lines) + ")"


def excitation_netlist(circuit: CoreCircuit, cycles: int = 100, measured: int = 5) -> str:
    """The netlist: `cycles` from a peak of the volts on, the last `measured` of them measured."""
    c = circuit
    start, stop = (cycles - measured) / c.frequency, cycles / c.frequency
    span = f"from={start:.10g} to={stop:.10g}"
    supply = math.sqrt(2) * c.voltage
    series = [f"R1 in copper {c.resistance:.10g}"] if c.resistance else ["V0 in copper 0"]
    series += [f"L1 copper core {c.inductance:.10g}"] if c.inductance else ["V1 copper core 0"]
    return "\n".join(
        [
            f"* {c.title}",
            f"Vs in 0 sin(0 {supply:.10g} {c.frequency:.10g} 0 0 90)",
            *series,
            "* flux density in teslas: the EMF over turns and area, gathered on a farad",
            f"Bflux 0 b i=v(core)/{c.turns * c.area:.10g}",
            "Cflux b 0 1 ic=0",
            f"Bfield h 0 v={c.field}",
            "Vmag core magnetising 0",
            f"Bmag magnetising 0 i=(v(h)*{c.path:.10g}+v(b)*{c.joint:.10g}/(4e-7*pi))/{c.turns:.10g}",
            "Vloss core losing 0",
            _loss(c),
            "Bsize size 0 v=abs(i(vs))",
            "Bwatts watts 0 v=v(core)*i(vloss)",
            "Btaken taken 0 v=-v(in)*i(vs)",
            ".options reltol=1e-5",
            ".control",
            "save vs#branch vloss#branch v(size) v(b) v(core) v(watts) v(taken)",
            f"tran {1 / c.frequency / STEPS_A_CYCLE:.10g} {stop:.10g} {start:.10g} "
            f"{1 / c.frequency / STEPS_A_CYCLE:.10g} uic",
            f"meas tran current rms i(vs) {span}",
            f"meas tran mean avg v(size) {span}",
            f"meas tran peak max v(size) {span}",
            f"meas tran flux_density max v(b) {span}",
            f"meas tran flux_lowest min v(b) {span}",
            f"meas tran emf rms v(core) {span}",
            f"meas tran core_loss avg v(watts) {span}",
            f"meas tran power avg v(taken) {span}",
            f"meas tran working rms i(vloss) {span}",
            "quit",
            ".endc",
            ".end",
            "",
        ]
    )


def _loss(c: CoreCircuit) -> str:
    """What draws the core loss between `losing` and ground."""
    emf_peaks = [2 * math.pi * c.frequency * c.turns * c.area * b for b, _ in c.loss]
    watts = [loss for _, loss in c.loss]
    if len(c.loss) == 1:
        return f"Rloss losing 0 {emf_peaks[0] ** 2 / 2 / watts[0]:.10g}"
    power = math.log(watts[1] / watts[0]) / math.log(emf_peaks[1] / emf_peaks[0])
    # i = k e |e|^(power - 2), with k such that a sine of the second EMF loses just the second watts.
    angle = np.linspace(0, math.pi, 20001)
    share = float(np.trapezoid(np.sin(angle) ** power, angle)) / math.pi
    k = watts[1] / (emf_peaks[1] ** power * share)
    # Rounded off about nothing, where the power's slope has no bound.
    rounded = (1e-3 * emf_peaks[1]) ** 2
    return f"Bloss losing 0 i={k:.8g}*v(core)*pwr(v(core)*v(core)+{rounded:.6g},{(power - 2) / 2:.8g})"
