"""The periodic steady state of a linear circuit with ideal switches, without marching through its transient."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Cycle", "NoSteadyState", "SwitchedCircuit", "steady_cycle"]

Array = NDArray[np.float64]

_GAMMA = 1.0 - math.sqrt(0.5)
_RHO = (1.0 - _GAMMA) / _GAMMA
_FIRST_CYCLES = 2
_MOST_CYCLES = 60
_CLOSED = 1e-8
"""A cycle closes when it ends where it began, as a part of the largest value that occurs."""


class NoSteadyState(ArithmeticError):
    """No cycle was found that ends where it began."""


_LEAST_SHARE = 0.1
_SINGULAR = 1e10


@dataclass(frozen=True)
class SwitchedCircuit:
    """storage x' + loss x = drive(t), with x [n] the unknowns, and some rows switched.

    storage, loss (n, n).  A row in `gates` holds for a conducting diode, its unknown in `diodes` being the current:
    row value and current are never negative, and one of them is zero.  Such rows store nothing.
    drive(t) -> (times, n) for times [s] (times,);  scale (n,): the size of each unknown, for tolerances.
    """

    storage: Array
    loss: Array
    drive: Callable[[Array], Array]
    gates: tuple[int, ...]
    diodes: tuple[int, ...]
    scale: Array


@dataclass(frozen=True)
class Cycle:
    """One period, at 2 x steps instants: time [s], weight for means (sum 1), x and its rate (instants, n); start (n,).

    The rate is right for stored unknowns only.
    """

    time: Array
    weight: Array
    x: Array
    rate: Array
    start: Array

    def mean(self, values: Array) -> Array:
        """Mean over the cycle of values (instants, ...)."""
        return np.asarray(np.tensordot(self.weight, values, axes=1))


@dataclass
class _State:
    """The linear map of one stage for one set of conducting diodes."""

    carry: Array
    forced: Array


@dataclass
class _Stepper:
    circuit: SwitchedCircuit
    period: float
    steps: int
    states: dict[int, _State] = field(default_factory=dict)
    pairs: dict[tuple[int, int], Array] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.h = self.period / self.steps
        begin = np.arange(self.steps) * self.h
        self.time = np.stack([begin + _GAMMA * self.h, begin + self.h], axis=1).ravel()
        self.drive = self.circuit.drive(self.time)
        self.tolerance = 1e-9 * float(np.max(self.circuit.scale))

    def state(self, conducting: int) -> _State:
        """x = carry @ history + forced[instant], followed by one sign per diode that must not be negative."""
        known = self.states.get(conducting)
        if known is not None:
            return known
        circuit = self.circuit
        n = len(circuit.loss)
        matrix = circuit.storage / (_GAMMA * self.h) + circuit.loss
        history = circuit.storage / (_GAMMA * self.h)
        drive = self.drive
        signs = np.zeros((len(circuit.gates), n))
        offsets = np.zeros((len(self.time), len(circuit.gates)))
        blocked = []
        for index, (gate, diode) in enumerate(zip(circuit.gates, circuit.diodes, strict=True)):
            if conducting >> index & 1:
                signs[index, diode] = 1.0
            else:
                signs[index] = circuit.loss[gate]
                offsets[:, index] = -drive[:, gate]
                blocked.append((gate, diode))
        if blocked:
            matrix, drive = matrix.copy(), drive.copy()
            for gate, diode in blocked:
                matrix[gate] = 0.0
                matrix[gate, diode] = 1.0
                drive[:, gate] = 0.0
        inverse = np.linalg.inv(matrix)
        carry, forced = inverse @ history, drive @ inverse.T
        made = _State(
            np.ascontiguousarray(np.vstack([carry, signs @ carry])),
            np.ascontiguousarray(np.hstack([forced, forced @ signs.T + offsets])),
        )
        self.states[conducting] = made
        return made

    def stage(self, history: Array, instant: int, conducting: int) -> tuple[Array, int]:
        """Unknowns and conducting diodes at an instant: the linear complementarity problem of that instant."""
        n = len(history)
        if not self.circuit.gates:
            state = self.state(0)
            return state.carry @ history + state.forced[instant], 0
        for attempt in range(4 << len(self.circuit.gates)):
            state = self.state(conducting)
            found = state.carry @ history + state.forced[instant]
            signs = found[n:].tolist()  # a handful: a list is looked through sooner than an array
            if min(signs) >= -self.tolerance:
                return found[:n], conducting
            wrong = [index for index, sign in enumerate(signs) if sign < -self.tolerance]
            # All at once is quick and may go in circles; the first one only is slow and ends
            # (Murty's principal pivoting, for the P-matrix that a circuit with losses has).
            for index in wrong if attempt < 6 else wrong[:1]:
                conducting ^= 1 << index
        raise NoSteadyState(f"no set of conducting diodes fits at {self.time[instant]:.6f} s of the cycle")

    def cycle(self, start: Array, conducting: int) -> tuple[Cycle, Array, int]:
        """One period from a start, with the derivative of its end with respect to its start."""
        n, steps, pairs = len(start), self.steps, self.pairs
        x = np.empty((steps, 2, n))
        history = np.empty((steps, 2, n))
        derivative = np.eye(n)
        now = start
        for k in range(steps):
            first, on_first = self.stage(now, 2 * k, conducting)
            extrapolated = _RHO * first - (_RHO - 1.0) * now
            second, conducting = self.stage(extrapolated, 2 * k + 1, on_first)
            pair = pairs.get((on_first, conducting))
            if pair is None:
                one, two = self.state(on_first).carry[:n], self.state(conducting).carry[:n]
                pair = two @ (_RHO * one - (_RHO - 1.0) * np.eye(n))
                pairs[on_first, conducting] = pair
            derivative = pair @ derivative
            x[k, 0], x[k, 1] = first, second
            history[k, 0], history[k, 1] = now, extrapolated
            now = second
        rate = (x - history) / (_GAMMA * self.h)
        weight = np.tile([1.0 - _GAMMA, _GAMMA], steps) / steps
        made = Cycle(self.time, weight, x.reshape(-1, n), rate.reshape(-1, n), start)
        return made, derivative, conducting


def steady_cycle(circuit: SwitchedCircuit, period: float, start: Array, steps: int) -> Cycle:
    """The cycle of `period` T [s] that ends where it began, found from a start near it.

    Shooting: Newton's method on the start, whose derivative is the product of the maps of the steps.  A step is two
    implicit stages (Alexander 1977, SIAM J. Numer. Anal. 14:1006, the L-stable one of order two), so that neither
    milliohms nor a diode that stops makes it ring; a stage is a linear complementarity problem.
    Raises NoSteadyState after 60 cycles.
    """
    stepper = _Stepper(circuit, period, steps)
    stored = np.any(circuit.storage != 0, axis=0)
    conducting, best, error = 0, math.inf, math.inf
    share, step = 1.0, np.zeros_like(start)
    for count in range(_MOST_CYCLES):
        cycle, derivative, conducting = stepper.cycle(start + share * step, conducting)
        left = cycle.x[-1] - cycle.start
        size = np.maximum(np.max(np.abs(cycle.x), axis=0), 1e-6 * circuit.scale)
        error = float(np.max(np.abs(left[stored]) / size[stored], initial=0.0))
        if error <= _CLOSED:
            return cycle
        # Two courses of a circuit with losses never drift apart in this measure, the energy of their difference.
        energy = float(left @ circuit.storage @ left)
        if count >= _FIRST_CYCLES and energy > best and share > _LEAST_SHARE:
            share /= 2
            continue
        start, share = cycle.start, 1.0
        best = energy if count + 1 >= _FIRST_CYCLES else math.inf
        step = left if count + 1 < _FIRST_CYCLES else _newton_step(derivative, left)
    raise NoSteadyState(f"after {_MOST_CYCLES} cycles the circuit is still {error:.1e} away from repeating itself")


def _newton_step(derivative: Array, left: Array) -> Array:
    """The change of the start that closes the cycle, were the diodes to conduct at the same instants.

    Where that closes it nowhere, as with a capacitor that only discharges: about thirty cycles ahead.
    """
    open_by = np.eye(len(left)) - derivative
    if np.linalg.cond(open_by) > _SINGULAR:
        open_by += 0.03 * np.eye(len(left))
    return np.asarray(np.linalg.solve(open_by, left))
