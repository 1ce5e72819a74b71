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
    size_of_volts = float(np.linalg.norm(volts))
    if size_of_volts == 0:
        return CoreCycle(np.zeros(n), np.zeros(n), np.zeros(n), 0.0)
    omega = 2 * math.pi * frequency
    rate, integral = omega * _derivative(n), _integral(n) / omega
    linkage = turns * core.area
    # Integrated, the equation is in webers: its size then says how wrong the flux is. In volts, the derivative of a
    # current with kinks would say how rough it is, and halving steps until that falls takes for ever.
    alternating = np.eye(n) - 1.0 / n  # integral @ rate: a mean is lost on the way
    of_flux = linkage * alternating
    of_current = resistance * integral + leakage * alternating
    of_loss = linkage * (resistance * alternating + leakage * rate)
    target = integral @ volts
    b = start.flux_density if start is not None and len(start.flux_density) == n else _guess(target, linkage)

    def magnetising(flux: Array) -> Array:
        return np.asarray((core.steel.field_at(flux) * core.path + flux * core.joint / MU_0) / turns)

    def missing(flux: Array, g: float) -> Array:
        return np.asarray((of_flux + g * of_loss) @ flux + of_current @ magnetising(flux) - target)

    near = 1e-5
    g, size_of_flux = 0.0, float(np.linalg.norm(target))
    for _ in range(_ROUNDS):
        emf = linkage * (rate @ b)
        peak = float(np.max(b) - np.min(b)) / 2
        loss = float(core.steel.loss_at(peak, frequency)) * core.mass * core.building_factor
        before, g = g, loss / float(np.mean(emf**2)) if loss else 0.0
        residual = missing(b, g)
        size = float(np.linalg.norm(residual))
        if size <= _SETTLED * size_of_flux and abs(g - before) <= 1e-4 * g:
            return CoreCycle(b, emf, magnetising(b) + g * emf, loss)
        slope = (magnetising(b + near) - magnetising(b - near)) / (2 * near)
        step = np.linalg.solve(of_flux + of_current * slope + g * of_loss, residual)
        share = 1.0
        for _ in range(_HALVINGS):
            if float(np.linalg.norm(missing(b - share * step, g))) < size:
                break
            share /= 2
        b = b - share * step
    raise ArithmeticError(
        f"no steady flux found for {size_of_volts / math.sqrt(n):.4g} V rms at {frequency:g} Hz on {turns:g} turns"
    )


def _guess(linked: Array, linkage: float) -> Array:
    """The integral of the volts, held within what steel carries."""
    b = (linked - np.mean(linked)) / linkage
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


@lru_cache(maxsize=4)
def _integral(n: int) -> Array:
    """Integral by phase of a wave known at an odd number n of points, without constant; a mean stays as it is."""
    order = np.arange(n // 2 + 1)
    gain = np.concatenate([[1.0], 1.0 / (1j * order[1:])])
    kernel = np.fft.irfft(gain, n)
    matrix = kernel[np.subtract.outer(np.arange(n), np.arange(n)) % n]
    matrix.flags.writeable = False
    return np.asarray(matrix)
