"""What handbooks say of rectifiers on an ideal winding, against ours on a winding with next to no resistance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from bench.magnetics.coupling import LoadedWinding
from bench.magnetics.load import Circuit, Diode, Filter, RectifierLoad
from bench.magnetics.on_load import on_load
from bench.magnetics.on_load_result import OnLoad, Rail

IDEAL_DIODE = Diode(0.0, 0.0)
VOLTS = 100.0


def ideal(load: RectifierLoad, resistance: float = 1e-4, frequency: float = 50.0) -> tuple[OnLoad, Rail]:
    """100 V rms on a winding (on each half, for a full wave) behind `resistance` in all."""
    turns = 2000.0 if load.circuit is Circuit.FULL_WAVE else 1000.0
    ohms = resistance * turns / 1000.0
    windings = (LoadedWinding("fed", 1000.0, 1e-9), LoadedWinding("winding", turns, ohms))
    found = on_load(windings, "fed", np.zeros((2, 2)), None, VOLTS, frequency, [load])
    return found, found.rails[0]


# Mean volts and RMS current of the winding (of a half, for a full wave) for a resistance alone: any textbook.
@pytest.mark.parametrize(
    ("circuit", "mean_volts", "rms_over_mean"),
    [
        (Circuit.BRIDGE, 2 * math.sqrt(2) / math.pi, math.pi / (2 * math.sqrt(2))),
        (Circuit.FULL_WAVE, 2 * math.sqrt(2) / math.pi, math.pi / 4),
        (Circuit.HALF_WAVE, math.sqrt(2) / math.pi, math.pi / 2),
    ],
)
def test_resistance_alone(circuit: Circuit, mean_volts: float, rms_over_mean: float) -> None:
    _, rail = ideal(RectifierLoad("winding", circuit, Filter.NONE, IDEAL_DIODE, load_resistance=100.0))
    assert rail.voltage == pytest.approx(mean_volts * VOLTS, rel=1e-3)
    assert rail.winding_current == pytest.approx(rms_over_mean * rail.current, rel=1e-3)


# A choke that holds its current: 0.9 of the RMS volts; the whole winding carries the direct current's RMS, a half of it
# 1 / sqrt 2 of that. Any textbook.
@pytest.mark.parametrize(("circuit", "rms_over_mean"), [(Circuit.BRIDGE, 1.0), (Circuit.FULL_WAVE, math.sqrt(0.5))])
def test_large_choke(circuit: Circuit, rms_over_mean: float) -> None:
    load = RectifierLoad(
        "winding", circuit, Filter.CHOKE_INPUT, IDEAL_DIODE, dc_current=1.0, capacitance=1e-3, choke_inductance=20.0
    )
    _, rail = ideal(load)
    assert rail.voltage == pytest.approx(2 * math.sqrt(2) / math.pi * VOLTS, rel=2e-3)
    assert rail.winding_current == pytest.approx(rms_over_mean * rail.current, rel=2e-3)


@pytest.mark.parametrize("circuit", list(Circuit))
def test_a_capacitor_with_hardly_any_load_holds_the_peak(circuit: Circuit) -> None:
    load = RectifierLoad(
        "winding", circuit, Filter.CAPACITOR_INPUT, IDEAL_DIODE, load_resistance=1e6, capacitance=100e-6
    )
    _, rail = ideal(load)
    assert rail.voltage == pytest.approx(math.sqrt(2) * VOLTS, rel=1e-3)


@pytest.mark.parametrize("share", [0.01, 0.03, 0.1, 0.3])
@pytest.mark.parametrize(("circuit", "pulses"), [(Circuit.BRIDGE, 2), (Circuit.FULL_WAVE, 2), (Circuit.HALF_WAVE, 1)])
def test_a_large_capacitor_behind_a_resistance(circuit: Circuit, pulses: int, share: float) -> None:
    # O.H. Schade, Analysis of Rectifier Operation, Proc. IRE 31 (1943), for large omega C R: the curves from memory.
    # With `share` of the load's resistance in series they follow from the charge: current flows from -angle to angle,
    # tan(angle) - angle = pi share / pulses, and the rail has cos(angle) of the peak.
    load_resistance = 1000.0
    load = RectifierLoad(
        "winding",
        circuit,
        Filter.CAPACITOR_INPUT,
        IDEAL_DIODE,
        load_resistance=load_resistance,
        capacitance=1000e-6,
    )
    _, rail = ideal(load, share * load_resistance)
    angle = brentq(lambda x: math.tan(x) - x - math.pi * share / pulses, 1e-6, 1.5)
    peak = math.sqrt(2) * VOLTS
    assert rail.voltage == pytest.approx(peak * math.cos(angle), rel=3e-3)
    series = share * load_resistance
    assert rail.diode_peak == pytest.approx(peak * (1 - math.cos(angle)) / series, rel=0.02)
    square = quad(lambda x: ((math.cos(x) - math.cos(angle)) * peak / series) ** 2, -angle, angle)[0] / (2 * math.pi)
    rms = math.sqrt(square * (2 if circuit is Circuit.BRIDGE else 1))
    assert rail.winding_current == pytest.approx(rms, rel=0.01)


@pytest.mark.parametrize("frequency", [50.0, 60.0])
@pytest.mark.parametrize(("of_critical", "keeps_on"), [(1.15, True), (0.85, False)])
def test_a_choke_keeps_conducting_above_its_critical_inductance(
    frequency: float, of_critical: float, keeps_on: bool
) -> None:
    # L = R / (6 pi f): R / 942 at 50 Hz, R / 1131 at 60 Hz; handbooks of valve practice, from memory. It follows from
    # the direct part and the second harmonic of the rectified sine, 2/3 of it, alone.
    resistance = 2000.0
    load = RectifierLoad(
        "winding",
        Circuit.BRIDGE,
        Filter.CHOKE_INPUT,
        IDEAL_DIODE,
        load_resistance=resistance,
        capacitance=200e-6,
        choke_inductance=of_critical * resistance / (6 * math.pi * frequency),
    )
    _, rail = ideal(load, frequency=frequency)
    assert rail.least_choke_current is not None
    assert (rail.least_choke_current > 1e-3 * rail.current) is keeps_on
    # Below it the volts rise over the 0.9 of the RMS, towards those of a capacitor input.
    assert (rail.voltage > 1.01 * 2 * math.sqrt(2) / math.pi * VOLTS) is not keeps_on
