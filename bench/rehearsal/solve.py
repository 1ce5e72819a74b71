"""The periodic steady state of a linear network around a saturating, lossy core."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from bench.rehearsal.network import Response
from bench.rehearsal.parts import Iron
from bench.rehearsal.steel import MU0

__all__ = ["SAMPLES", "Steady", "orders", "rms", "solve_steady", "waveform"]

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

SAMPLES = 128
"""Samples in half a period; the other half is its mirror image, so only odd harmonics exist."""


@dataclass(frozen=True, slots=True)
class Steady:
    """A steady state: flux density [T] over half a period, and peak phasors of the odd harmonics.

    nodes [V] and branches [A] have the harmonic first; `core_power` is what the steel turns into heat [W].
    """

    frequency: float
    flux_density: Array
    nodes: Complex
    branches: Complex
    core_power: float


def orders() -> NDArray[np.int_]:
    """The harmonics that are solved: 1, 3, 5, ..."""
    return np.arange(1, SAMPLES, 2)


def rms(phasors: Complex) -> float:
    """RMS of peak phasors."""
    return math.sqrt(float(np.sum(np.abs(phasors) ** 2)) / 2)


def waveform(phasors: Complex) -> Array:
    """One whole period (2 x SAMPLES) of the peak phasors of the odd harmonics."""
    half = np.real(_basis().conj() @ phasors)
    return np.concatenate([half, -half])


def solve_steady(iron: Iron, response: Response, supply: Complex, frequency: float, start: Array | None) -> Steady:
    """Steady state for peak phasors [V] of the supply at the odd harmonics of a frequency [Hz].

    Ampere turns of the core = ampere turns of the network, at each sample: Newton's method on the flux density,
    with the steps halved while they do not help. `start` is a flux density near by, if one is known.
    """
    rate_of, rate = _rate(frequency)
    driven = np.real(_basis().conj() @ (response.ampere_turns[:, 0] * supply))
    # Joined laminations oppose the flux as a loop of one turn would; their watts are the core's.
    per_turn = response.ampere_turns[:, 1] - iron.bridge
    back = _operator(np.asarray(per_turn * rate_of * iron.area, dtype=np.complex128))
    b = _first_guess(iron, driven, back) if start is None else start
    peak = float(np.max(np.abs(b)))
    for _ in range(60):
        b = _newton(iron, driven, back, rate, b, peak, frequency)
        found = float(np.max(np.abs(b)))
        settled = abs(found - peak) <= 1e-7 * found + 1e-9
        peak = found
        if settled:
            break
    change = _phasors(b) * rate_of * iron.area
    drive = np.stack([supply, change], axis=-1)
    slope = rate @ b
    opposing, _ = iron.steel.loss_field(slope, peak, frequency)
    return Steady(
        frequency=frequency,
        flux_density=b,
        nodes=np.einsum("hnk,hk->hn", response.nodes, drive),
        branches=np.einsum("hbk,hk->hb", response.branches, drive),
        core_power=float(np.mean(opposing * slope)) * iron.loss_scale * iron.volume
        + float(np.mean(slope**2)) * iron.area**2 * iron.bridge,
    )


def _newton(iron: Iron, driven: Array, back: Array, rate: Array, b: Array, peak: float, frequency: float) -> Array:
    scale = float(np.max(np.abs(driven))) + 1e-3

    def residual(at: Array) -> tuple[Array, Array, Array]:
        core, core_slope = _core_ampere_turns(iron, at)
        loss, loss_slope = iron.steel.loss_field(rate @ at, peak, frequency)
        factor = iron.loss_scale * iron.path
        return core + factor * loss - driven - back @ at, core_slope, factor * loss_slope

    left, core_slope, loss_slope = residual(b)
    for _ in range(80):
        size = float(np.max(np.abs(left)))
        if size <= 1e-9 * scale:
            break
        jacobian = loss_slope[:, None] * rate - back
        jacobian[np.diag_indices(SAMPLES)] += core_slope
        step = np.linalg.solve(jacobian, left)
        norm = float(left @ left)
        share = 1.0
        while True:
            tried = b - share * step
            new_left, new_core, new_loss = residual(tried)
            if float(new_left @ new_left) < norm * (1 - 0.1 * share):
                break
            share /= 2
            if share < 1e-6:
                return b  # no step helps: as exact as the arithmetic allows
        b, left, core_slope, loss_slope = tried, new_left, new_core, new_loss
    return b


def _core_ampere_turns(iron: Iron, b: Array) -> tuple[Array, Array]:
    field, slope = iron.steel.field(b)
    steel = iron.field_scale * iron.path
    return steel * field + iron.gap / MU0 * b, steel * slope + iron.gap / MU0


def _first_guess(iron: Iron, driven: Array, back: Array) -> Array:
    """The answer of a linear core, held within what steel carries."""
    slope = iron.path * iron.field_scale * 200.0
    linear: Array = np.asarray(np.linalg.solve(slope * np.eye(SAMPLES) - back, driven), dtype=np.float64)
    peak = float(np.max(np.abs(linear)))
    return linear if peak <= 1.6 else linear * (1.6 / peak)


@cache
def _basis() -> Complex:
    """exp(-j h w t) at the samples (rows) and odd harmonics (columns)."""
    angle = math.pi * np.arange(SAMPLES) / SAMPLES
    return np.asarray(np.exp(-1j * np.outer(angle, orders())), dtype=np.complex128)


@lru_cache(maxsize=4)
def _rate(frequency: float) -> tuple[Complex, Array]:
    """What differentiates peak phasors, and half a period of samples."""
    of_phasors: Complex = np.asarray(2j * math.pi * frequency * orders(), dtype=np.complex128)
    return of_phasors, _operator(of_phasors)


def _phasors(samples: Array) -> Complex:
    return np.asarray(samples @ _basis() * (2 / SAMPLES), dtype=np.complex128)


def _operator(gain: Complex) -> Array:
    """Matrix that multiplies the harmonics of half a period of samples by a gain each."""
    basis = _basis()
    return np.asarray(np.real((basis.conj() * gain) @ basis.T) * (2 / SAMPLES))
