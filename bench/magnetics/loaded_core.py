"""The flux and the exciting current of a core whose fed winding also carries the loads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.excitation import MagneticCore
from bench.magnetics.steel import MU_0

__all__ = ["CoreCycle", "loaded_core"]

Array = NDArray[np.float64]

_ROUNDS = 60
_HALVINGS = 20
_SETTLED = 1e-7
_BEYOND_STEEL = 1.7
"""A first guess goes no further than this [T]: beyond, the field curve is so steep that Newton's steps are tiny."""


@dataclass(frozen=True)
class CoreCycle:
    """One cycle at equal steps, arrays (n,): flux density [T], EMF [V] of the fed winding, its exciting current [A].

    core_loss [W];  a direct part of the current is what holds up direct current in the other windings.
    """

    flux_density: Array
    emf: Array
    current: Array
    core_loss: float


def loaded_core(
    core: MagneticCore,
    turns: float,
    volts: Array,
    frequency: float,
    resistance: float,
    leakage: float = 0.0,
    start: CoreCycle | None = None,
) -> CoreCycle:
    """Steady flux B of `turns` N when `volts` [V] (n,), one cycle at equal steps, are left by the loads' drop.

    volts = R i + L di/dt + N A dB/dt, with i = (H(B) l + B g / mu0) / N + G N A dB/dt; R [ohm] > 0, L [H] of the fed
    winding for the exciting current alone; G [S] carries the core loss at the peak of B.  Newton's method at an odd
    number n of instants with the derivative of their trigonometric interpolation.  The flux may have a direct part.
    Raises ValueError for an even n or no resistance, ArithmeticError where no steady flux is found.
    """
    n = len(volts)
    if n % 2 == 0:
        raise ValueError(f"{n} instants, expected an odd number")
    if not resistance > 0:
        raise ValueError(f"resistance of the fed winding is {resistance:g} ohm, expected more than 0")
    rate = 2 * math.pi * frequency * _derivative(n)
    emf_of = turns * core.area * rate
    series = resistance * np.eye(n) + leakage * rate
    b = start.flux_density if start is not None and len(start.flux_density) == n else _guess(core, turns, volts, frequency)

    def magnetising(flux: Array) -> Array:
        return np.asarray((core.steel.field_at(flux) * core.path + flux * core.joint / MU_0) / turns)

    size_of_volts = float(np.linalg.norm(volts))
    if size_of_volts == 0:
        return CoreCycle(np.zeros(n), np.zeros(n), np.zeros(n), 0.0)
    near = 1e-6
    before = math.inf
    for _ in range(_ROUNDS):
        emf = emf_of @ b
        peak = float(np.max(b) - np.min(b)) / 2
        loss = core.steel.loss_at(peak, frequency) * core.mass * core.building_factor
        g = loss / float(np.mean(emf**2)) if loss else 0.0

        def missing(flux: Array, g: float = g) -> Array:
            induced = emf_of @ flux
            return np.asarray(induced + series @ (magnetising(flux) + g * induced) - volts)

        residual = missing(b)
        size = float(np.linalg.norm(residual))
        if size <= _SETTLED * size_of_volts and abs(g - before) <= 1e-4 * g:
            return CoreCycle(b, emf, magnetising(b) + g * emf, loss)
        before = g
        slope = (magnetising(b + near) - magnetising(b - near)) / (2 * near)
        step = np.linalg.solve(emf_of + series * slope + g * (series @ emf_of), residual)
        share = 1.0
        for _ in range(_HALVINGS):
            if float(np.linalg.norm(missing(b - share * step))) < size:
                break
            share /= 2
        b = b - share * step
    raise ArithmeticError(
        f"no steady flux found for {size_of_volts / math.sqrt(n):.4g} V rms at {frequency:g} Hz on {turns:g} turns"
    )


def _guess(core: MagneticCore, turns: float, volts: Array, frequency: float) -> Array:
    """The integral of the volts, held within what steel carries."""
    spectrum = np.fft.rfft(volts)
    order = np.arange(len(spectrum))
    spectrum[0] = 0.0
    spectrum[1:] /= 2j * math.pi * frequency * order[1:] * turns * core.area
    b = np.fft.irfft(spectrum, len(volts))
    peak = float(np.max(np.abs(b)))
    return np.asarray(b if peak <= _BEYOND_STEEL else b * (_BEYOND_STEEL / peak))


@lru_cache(maxsize=4)
def _derivative(n: int) -> Array:
    """Derivative by phase of a wave known at an odd number n of points."""
    apart = np.subtract.outer(np.arange(n), np.arange(n))
    with np.errstate(divide="ignore"):
        matrix = 0.5 * (-1.0) ** apart / np.sin(apart * math.pi / n)
    np.fill_diagonal(matrix, 0.0)
    matrix.flags.writeable = False
    return np.asarray(matrix)
