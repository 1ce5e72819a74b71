"""Leakage inductance of coils that share one leg's window, from the energy of the field between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.steel import MU_0

__all__ = ["Coil", "Window", "leakage_inductance", "leakage_matrix"]

_AXIAL = 120
_RADIAL = 240
_GAUSS = np.array([-1.0, 1.0]) / math.sqrt(3.0)


@dataclass(frozen=True)
class Window:
    """The winding window of the core [m]: width from the leg to the limb, height from yoke to yoke."""

    width: float
    height: float


@dataclass(frozen=True)
class Coil:
    """A coil round the leg, evenly filled with its turns.

    turns N, signed by its direction; inner and outer [m]: height of its faces over the leg; mean_turn [m];
    length [m] along the leg; offset [m]: its middle from the window's middle, along the leg.
    """

    turns: float
    inner: float
    outer: float
    mean_turn: float
    length: float
    offset: float = 0.0

    @property
    def middle(self) -> float:
        """Height of its middle over the leg [m]."""
        return (self.inner + self.outer) / 2


def leakage_matrix(coils: Sequence[Coil], window: Window) -> NDArray[np.float64]:
    """L (n, n) [H]: linkages of each coil with the flux in the window, for one ampere in each other.

    For currents i whose ampere-turns sum to nothing, i^T L i / 2 is the energy of the leakage field; L is symmetric
    and none of its eigenvalues is negative.  The common reference is the flux that reaches the return limb past
    every coil: the volts of coil k are R i_k + sum_l L_kl di_l/dt + N_k dphi/dt, phi [Wb] being that flux, so that a
    coil next to the leg has much leakage of its own and the outermost only that within itself.

    The field in the window between iron of infinite permeability, as the even part along the leg, H = ampere-turns
    inside / window height, each turn as long as it is there (2 pi longer for a metre further out), and the uneven
    part that coils shorter than the window make, as a double cosine series in a window unrolled to the coils' mean
    turns.  Coils as long as the window give the handbooks' mu0 N^2 (Lmt / L)(a + (b1 + b2)/3).
    What it leaves out: the part of each turn outside the iron, where the field is weaker, so that this is an upper
    bound (7 % less there for two windings that nearly fill an EI 96), and the stray flux of the core.
    Raises ValueError for a coil that has no size or does not lie in the window.
    Source: the energy method, A.K. Sawhney, A Course in Electrical Machine Design, ch. 5; the series is J. Roth's
    (Revue generale de l'electricite, 1928; from memory).  Checked against finite elements in tests/outside.
    """
    for coil in coils:
        _check(coil, window)
    turns = np.array([coil.turns for coil in coils], dtype=float)
    per_turn = _even_part(coils, window) + _uneven_part(coils, window)
    return np.asarray(np.outer(turns, turns) * per_turn)


def leakage_inductance(one: Sequence[Coil], other: Sequence[Coil], window: Window) -> float:
    """Leakage inductance [H] between two windings, referred to the first: what is read with the other shorted.

    one, other: the coils of each in series, interleaved as they may be.  Raises ValueError for a winding without
    turns, or as `leakage_matrix` does.
    """
    first, second = (math.fsum(coil.turns for coil in winding) for winding in (one, other))
    if not first or not second:
        raise ValueError("a winding's turns must not sum to 0")
    current = np.array([1.0] * len(one) + [-first / second] * len(other))
    return float(current @ leakage_matrix([*one, *other], window) @ current)


def _check(coil: Coil, window: Window) -> None:
    if not (coil.mean_turn > 0 and coil.length > 0 and 0 <= coil.inner < coil.outer):
        raise ValueError("mean turn and length of a coil must be more than 0, its outer face over its inner one")
    slack = 1e-9
    if coil.outer > window.width + slack:
        raise ValueError(f"a coil ends {coil.outer:g} m over the leg, the window is {window.width:g} m wide")
    if abs(coil.offset) + coil.length / 2 > window.height / 2 + slack:
        raise ValueError(
            f"a coil of {coil.length:g} m at {coil.offset:g} m leaves the window, {window.height:g} m high"
        )


def _even_part(coils: Sequence[Coil], window: Window) -> NDArray[np.float64]:
    """mu0 / height x integral of c_k c_l p dx: c the share of a coil's turns inside x, p the turn's length at x."""
    edges = np.unique([face for coil in coils for face in (coil.inner, coil.outer)] + [0.0])
    # Two Gauss points integrate a cubic exactly: c_k c_l p is one between neighbouring faces.
    half, centre = np.diff(edges) / 2, (edges[1:] + edges[:-1]) / 2
    x = (centre[:, None] + half[:, None] * _GAUSS).ravel()
    weights = np.repeat(half, 2)
    inside = np.array([np.clip((x - coil.inner) / (coil.outer - coil.inner), 0.0, 1.0) for coil in coils])
    return np.asarray(MU_0 / window.height * (inside * (weights * _turn_length(coils, x))) @ inside.T)


def _turn_length(coils: Sequence[Coil], x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Length [m] of a turn at heights x: the coils' own within them, straight between them."""
    within = np.array([(coil.inner < x) & (x < coil.outer) for coil in coils])
    own = np.array([coil.mean_turn + 2 * math.pi * (x - coil.middle) for coil in coils])
    count = within.sum(axis=0)
    faces = sorted(
        (at, coil.mean_turn + 2 * math.pi * (at - coil.middle)) for coil in coils for at in (coil.inner, coil.outer)
    )
    between = np.interp(x, [at for at, _ in faces], [length for _, length in faces])
    return np.asarray(np.where(count > 0, (own * within).sum(axis=0) / np.maximum(count, 1), between))


def _uneven_part(coils: Sequence[Coil], window: Window) -> NDArray[np.float64]:
    along, across = np.arange(1, _AXIAL + 1), np.arange(_RADIAL)
    square = (along[:, None] * math.pi / window.height) ** 2 + (across * math.pi / window.width) ** 2
    doubled = np.where(across == 0, 2.0, 4.0) / (window.width * window.height)
    root = np.sqrt(MU_0 * doubled / square)
    waves = np.array([(root * _harmonics(coil, window, along, across)).ravel() for coil in coils])
    return np.asarray(waves @ waves.T)


def _harmonics(coil: Coil, window: Window, along: NDArray[np.int_], across: NDArray[np.int_]) -> NDArray[np.float64]:
    """Mean over the coil of cos(n pi y / height) cos(m pi x / width), times the root of its mean turn."""

    def mean_cosine(order: NDArray[np.int_], middle: float, size: float, span: float) -> NDArray[np.float64]:
        return np.asarray(np.cos(order * math.pi * middle / span) * np.sinc(order * size / (2 * span)))

    axial = mean_cosine(along, window.height / 2 + coil.offset, coil.length, window.height)
    radial = mean_cosine(across, coil.middle, coil.outer - coil.inner, window.width)
    return math.sqrt(coil.mean_turn) * np.outer(axial, radial)
