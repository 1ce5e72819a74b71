"""A loaded transformer as ngspice takes it: ideal ratios to one core, and everything else as ordinary parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.load import Circuit, Filter, Load, RectifierLoad, ResistiveLoad

__all__ = ["LoadedUnit", "on_load_netlist"]

STEPS_A_CYCLE = 1000

NEARLY_IDEAL = "D(is=1e-12 n=0.02 cjo=100p)"
"""A switch with 14 mV at an ampere, that stands in series with our drop and slope."""


@dataclass(frozen=True)
class LoadedUnit:
    """A unit, SI, and how ngspice is told its steel (`field`) and its diodes; the first winding is fed.

    leakage (n, n) [H] as ours.  core_loss: ohms across the fed winding's EMF that take the loss.
    diode: ngspice's model in place of our drop and slope, or nothing.  cycles until all has come to rest.
    """

    title: str
    windings: Sequence[LoadedWinding]
    leakage: NDArray[np.float64]
    core: MagneticCore
    field: str
    core_loss: float
    voltage: float
    frequency: float
    loads: Sequence[Load]
    diode: str = ""
    cycles: int = 200


def on_load_netlist(unit: LoadedUnit, measured: int = 5) -> str:
    """The netlist; what is measured is named after windings, halves apart."""
    supply, period = math.sqrt(2) * unit.voltage, 1 / unit.frequency
    fed = unit.windings[0]
    start, stop = (unit.cycles - measured) * period, unit.cycles * period
    span = f"from={start:.10g} to={stop:.10g}"
    lines = [
        f"* {unit.title}",
        f"Vs in 0 sin(0 {supply:.10g} {unit.frequency:.10g} 0 0 0)",
        f"R_{fed.name} in {fed.name}_copper {fed.resistance:.10g}",
        f"L_{fed.name} {fed.name}_copper core {_henries(unit, 0, 0):.10g}",
        "* flux density in teslas: the EMF over turns and area, gathered on a farad, from the trough of the flux on",
        f"Bflux 0 b i=v(core)/{fed.turns * unit.core.area:.10g}",
        f"Cflux b 0 1 ic={-supply / (2 * math.pi * unit.frequency * fed.turns * unit.core.area):.10g}",
        f"Bfield h 0 v={unit.field}",
        f"Bmag core 0 i=(v(h)*{unit.core.path:.10g}+v(b)*{unit.core.joint:.10g}/(4e-7*pi))/{fed.turns:.10g}",
        f"Rloss core 0 {unit.core_loss:.10g}",
    ]
    measure = [f"meas tran i_{fed.name} rms i(vs) {span}", f"meas tran flux_highest max v(b) {span}"]
    measure += [f"meas tran flux_lowest min v(b) {span}", f"meas tran power avg v(taken) {span}"]
    inductors = [fed.name]
    for index, winding in enumerate(unit.windings[1:], start=1):
        tapped = any(
            isinstance(load, RectifierLoad) and load.circuit is Circuit.FULL_WAVE and load.winding == winding.name
            for load in unit.loads
        )
        parts = [(f"{winding.name}_a", 0), (f"{winding.name}_b", 1)] if tapped else [(winding.name, None)]
        for name, half in parts:
            turns, ohms = winding.turns, winding.resistance
            if half is not None:
                turns, ohms = (both[half] for both in winding.halves)
            ratio = turns / fed.turns
            # The first half ends, the second begins, at the tap.
            begin, end = {None: (f"{name}_s", f"{name}_f"), 0: (f"{name}_s", "0"), 1: ("0", f"{name}_f")}[half]
            lines += [
                f"E_{name} {name}_emf {end} core 0 {ratio:.10g}",
                f"F_{name} core 0 V_{name} {ratio:.10g}",
                f"V_{name} {name}_emf {name}_sensed 0",
                f"R_{name} {name}_sensed {name}_inner {ohms:.10g}",
            ]
            # Both halves have the leakage of the whole, per turn, and all of it in common.
            own = _henries(unit, index, index) * (turns / winding.turns) ** 2
            lines.append(f"L_{name} {begin} {name}_inner {own:.10g}")
            inductors.append(name)
            measure.append(f"meas tran i_{name} rms i(v_{name}) {span}")
        if tapped:
            lines.append(f"B_{winding.name} across_{winding.name} 0 v=v({winding.name}_a_s)-v({winding.name}_b_f)")
        else:
            lines.append(f"B_{winding.name} across_{winding.name} 0 v=v({winding.name}_s)-v({winding.name}_f)")
        measure.append(f"meas tran v_{winding.name} rms v(across_{winding.name}) {span}")
    lines += _couplings(unit, inductors)
    for load in unit.loads:
        made, asked = _load(unit, load, span)
        lines += made
        measure += asked
    step = period / STEPS_A_CYCLE
    return "\n".join(
        [
            *lines,
            "Btaken taken 0 v=-v(in)*i(vs)",
            ".options reltol=1e-5 abstol=1e-9 vntol=1e-5 chgtol=1e-12",
            ".control",
            f"tran {step:.10g} {stop:.10g} {start:.10g} {step:.10g} uic",
            *measure,
            "quit",
            ".endc",
            ".end",
            "",
        ]
    )


def _henries(unit: LoadedUnit, one: int, other: int) -> float:
    return float(unit.leakage[one, other])


def _coupling(unit: LoadedUnit, one: int, other: int) -> float:
    return _henries(unit, one, other) / math.sqrt(_henries(unit, one, one) * _henries(unit, other, other))


def _couplings(unit: LoadedUnit, inductors: Sequence[str]) -> list[str]:
    """Mutual leakages. ngspice couples two inductors by k; the halves of one winding are coupled all but wholly."""
    names = [winding.name for winding in unit.windings]
    index = [names.index(one.removesuffix("_a").removesuffix("_b") if one not in names else one) for one in inductors]
    lines = []
    for i, one in enumerate(inductors):
        for j in range(i + 1, len(inductors)):
            k = 0.99999 if index[i] == index[j] else _coupling(unit, index[i], index[j])
            if k:
                lines.append(f"K_{one}_{inductors[j]} L_{one} L_{inductors[j]} {k:.8g}")
    return lines


def _load(unit: LoadedUnit, load: Load, span: str) -> tuple[list[str], list[str]]:
    name = load.winding
    if isinstance(load, ResistiveLoad):
        return [f"Rload_{name} {name}_s {name}_f {load.resistance:.10g}", f"Rearth_{name} {name}_f 0 1"], []
    top, lines, measure = f"{name}_dc", [], []

    def diode(begin: str, end: str) -> None:
        number = sum(line.startswith("D_") for line in lines)
        label = f"{name}{number}"
        if unit.diode:
            lines.append(f"D_{label} {begin} {label}_x REAL")
        else:
            lines.append(f"D_{label} {begin} {label}_y NEARLY")
            lines.append(f"Vdrop_{label} {label}_y {label}_z {load.diode.forward_drop:.10g}")
            lines.append(f"Rslope_{label} {label}_z {label}_x {max(load.diode.slope_resistance, 1e-6):.10g}")
        lines.append(f"Vd_{label} {label}_x {end} 0")
        if number == 0:
            measure.append(f"meas tran diode_{name} max i(vd_{label}) {span}")

    match load.circuit:
        case Circuit.BRIDGE:
            # A bridge that takes nothing leaves its winding without a potential.
            lines += [f"Rbegin_{name} {name}_s 0 10meg", f"Rend_{name} {name}_f 0 10meg"]
            diode(f"{name}_s", top)
            diode(f"{name}_f", top)
            diode("0", f"{name}_s")
            diode("0", f"{name}_f")
        case Circuit.FULL_WAVE:
            diode(f"{name}_a_s", top)
            diode(f"{name}_b_f", top)
        case Circuit.HALF_WAVE:
            diode(f"{name}_s", top)
            lines.append(f"Vearth_{name} {name}_f 0 0")
    out = top
    turns = next(winding.turns for winding in unit.windings if winding.name == name) / unit.windings[0].turns
    guess = unit.voltage * turns * (0.5 if load.circuit is Circuit.FULL_WAVE else 1.0)
    if load.filter is Filter.CHOKE_INPUT:
        out = f"{name}_out"
        lines.append(f"Rchoke_{name} {top} {name}_choke {max(load.choke_resistance, 1e-6):.10g}")
        lines.append(f"Lchoke_{name} {name}_choke {out} {load.choke_inductance:.10g} ic={load.dc_current or 0:.10g}")
        guess *= 0.9
    if load.capacitance:
        lines.append(f"C_{name} {out} 0 {load.capacitance:.10g} ic={guess:.10g}")
    if load.dc_current is not None:
        lines.append(f"Iload_{name} {out} 0 {load.dc_current:.10g}")
    else:
        lines.append(f"Rload_{name} {out} 0 {load.load_resistance:.10g}")
    measure += [f"meas tran dc_{name} avg v({out}) {span}", f"meas tran ripple_{name} pp v({out}) {span}"]
    models = [f".model REAL {unit.diode}"] if unit.diode else [f".model NEARLY {NEARLY_IDEAL}"]
    return lines + models, measure
