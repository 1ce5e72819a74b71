"""Steady cycles of circuits whose answer is known in closed form, and of those that have none."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench.magnetics.periodic import NoSteadyState, SwitchedCircuit, steady_cycle

OMEGA = 2 * math.pi * 50.0


def circuit(storage: np.ndarray, loss: np.ndarray, drive: np.ndarray, diodes: tuple[int, ...] = ()) -> SwitchedCircuit:
    """Driven by drive x cos(2 pi 50 t)."""
    return SwitchedCircuit(
        storage, loss, lambda time: np.outer(np.cos(OMEGA * time), drive), diodes, diodes, np.ones(len(loss))
    )


def test_an_inductance_behind_a_resistance() -> None:
    one = circuit(np.array([[0.02]]), np.array([[3.0]]), np.array([10.0]))
    cycle = steady_cycle(one, 0.02, np.zeros(1), 200)
    expected = 10.0 / abs(3.0 + 1j * OMEGA * 0.02) / math.sqrt(2)
    assert math.sqrt(float(cycle.mean(cycle.x[:, 0] ** 2))) == pytest.approx(expected, rel=1e-4)


def test_a_resonance_that_takes_hundreds_of_cycles_to_build_up_is_found_at_once() -> None:
    # Series resonance of quality 1000: current, then volts of the capacitor.
    inductance, capacitance = 1.0, 1 / OMEGA**2
    storage = np.diag([inductance, capacitance])
    loss = np.array([[OMEGA * inductance / 1000, 1.0], [-1.0, 0.0]])
    off = circuit(storage, loss, np.array([1.0, 0.0]))
    cycle = steady_cycle(off, 0.02, np.zeros(2), 2000)
    assert np.max(np.abs(cycle.x[:, 0])) == pytest.approx(1.0 / (OMEGA * inductance / 1000), rel=0.02)


def test_a_diode_passes_one_half_of_the_wave() -> None:
    # Row 0: 2 i - v = 0 while the diode conducts.
    cycle = steady_cycle(circuit(np.zeros((1, 1)), np.array([[2.0]]), np.array([10.0]), (0,)), 0.02, np.zeros(1), 200)
    assert float(np.min(cycle.x)) == 0.0
    assert float(cycle.mean(cycle.x)[0]) == pytest.approx(5.0 / math.pi, rel=1e-3)


def test_a_stored_value_ends_where_it_began() -> None:
    # Diode current, then capacitor volts: i = v0 - u while it conducts, C u' = i - u / R.
    storage = np.diag([0.0, 1e-3])
    loss = np.array([[1.0, 1.0], [-1.0, 0.05]])
    cycle = steady_cycle(circuit(storage, loss, np.array([10.0, 0.0]), (0,)), 0.02, np.zeros(2), 301)
    assert cycle.x[-1, 1] == pytest.approx(cycle.start[1], rel=1e-7)
    assert float(cycle.mean(cycle.rate[:, 1])) == pytest.approx(0.0, abs=1e-6 * np.max(np.abs(cycle.rate)))


def test_a_circuit_that_has_no_steady_state_is_told() -> None:
    # A constant current into a capacitor and nothing to take it away.
    one = SwitchedCircuit(
        np.array([[1e-3]]), np.zeros((1, 1)), lambda time: np.ones((len(time), 1)), (), (), np.ones(1)
    )
    with pytest.raises(NoSteadyState, match="away from repeating itself"):
        steady_cycle(one, 0.02, np.zeros(1), 51)


def test_diodes_that_fit_no_way_are_told() -> None:
    # A diode with a negative slope: no circuit with losses.
    one = SwitchedCircuit(
        np.zeros((1, 1)), np.array([[-1.0]]), lambda time: np.ones((len(time), 1)), (0,), (0,), np.ones(1)
    )
    with pytest.raises(NoSteadyState, match="no set of conducting diodes"):
        steady_cycle(one, 0.02, np.zeros(1), 51)
