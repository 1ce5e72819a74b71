"""The flux that a core settles to behind a resistance: not a sine once the current is peaky."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["SteadyFlux", "steady_flux"]

_STEPS = 60
_HALVINGS = 30
_SMALL = 1e-10


@dataclass(frozen=True)
class SteadyFlux:
    """One cycle in the steady state, arrays (n,): flux density B [T], EMF e [V], working conductance G [S]."""

    flux_density: NDArray[np.float64]
    emf: NDArray[np.float64]
    conductance: float


def steady_flux(
    magnetising: Callable[[NDArray[np.float64]], NDArray[np.float64]],
    conductance: Callable[[float, float], float],
    linkage: float,
    voltage: float,
    frequency: float,
    resistance: float,
    inductance: float,
    samples: int,
) -> SteadyFlux:
    """Steady state of v = R i + L di/dt + NA dB/dt, i = i_m(B) + G NA dB/dt, under v = V sqrt2 cos(2 pi f t).

    magnetising: i_m [A] of B [T], odd and rising; conductance: G [S] from peak B [T] and RMS EMF [V]; linkage NA
    [turns m2]; voltage V [V rms], frequency f [Hz], resistance R [ohm], inductance L [H] in series; samples a cycle.
    All odd functions: half a cycle is enough, the other half is its negative. Newton's method on the samples, with
    the derivative of their trigonometric interpolation.  Source: Newton's method and spectral differentiation, any
    textbook.
    Raises ValueError for samples that are no multiple of 4 or fewer than 32, and ArithmeticError if it does not settle.
    """
    if samples < 32 or samples % 4:
        raise ValueError(f"{samples} samples a cycle, expected a multiple of 4 from 32 on")
    half = samples // 2
    phase = math.pi * np.arange(half) / half
    omega = 2 * math.pi * frequency
    turn_on = omega * _derivative(half)
    supply = math.sqrt(2.0) * voltage * np.cos(phase)
    series = resistance * np.eye(half) + inductance * turn_on
    emf_of = linkage * turn_on
    b = math.sqrt(2.0) * voltage / (omega * linkage) * np.sin(phase)

    def missing(flux: NDArray[np.float64], g: float) -> NDArray[np.float64]:
        emf = emf_of @ flux
        return np.asarray(emf + series @ (magnetising(flux) + g * emf) - supply)

    g = 0.0
    for _ in range(_STEPS):
        g_before, g = g, conductance(float(np.max(np.abs(b))), _rms(emf_of @ b))
        residual = missing(b, g)
        size = float(np.linalg.norm(residual))
        settled = size <= _SMALL * math.sqrt(half) * voltage
        if settled and abs(g - g_before) <= 1e-9 * g:
            return SteadyFlux(np.concatenate([b, -b]), np.concatenate([emf_of @ b, -(emf_of @ b)]), g)
        slope = _slope(magnetising, b)
        step = np.linalg.solve(emf_of + series @ (np.diag(slope) + g * emf_of), residual)
        share = 1.0
        for _ in range(_HALVINGS):
            if settled or float(np.linalg.norm(missing(b - share * step, g))) < size:
                break
            share /= 2
        b = b - share * step
    raise ArithmeticError(f"no steady flux found at {voltage:g} V, {frequency:g} Hz behind {resistance:g} ohm")


def _rms(wave: NDArray[np.float64]) -> float:
    return math.sqrt(float(np.mean(wave**2)))


def _slope(
    magnetising: Callable[[NDArray[np.float64]], NDArray[np.float64]], b: NDArray[np.float64]
) -> NDArray[np.float64]:
    near = 1e-6
    return np.asarray((magnetising(b + near) - magnetising(b - near)) / (2 * near))


@lru_cache(maxsize=8)
def _derivative(half: int) -> NDArray[np.float64]:
    """Derivative by phase of a wave known at `half` points of its first half cycle, its second being the negative."""
    n = 2 * half
    apart = np.subtract.outer(np.arange(n), np.arange(n))
    with np.errstate(divide="ignore"):
        whole = 0.5 * (-1.0) ** apart / np.tan(apart * math.pi / n)
    np.fill_diagonal(whole, 0.0)
    matrix = whole[:half, :half] - whole[:half, half:]
    matrix.flags.writeable = False
    return np.asarray(matrix)
