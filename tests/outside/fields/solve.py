"""The leakage inductance of a geometry by finite elements with scikit-fem, in cylinder coordinates."""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from bench.magnetics.leakage import Coil
from tests.outside.fields.geometries import Geometry

MU_0 = 4e-7 * math.pi
FAR = 8.0
"""How many window heights of free space are modelled about a leg that stands alone."""


def inductance(geometry: Geometry, cells: int = 40) -> float:
    """Inductance [H] of the first winding with the second carrying the opposite ampere-turns.

    psi = r A: div(grad psi / r) = -mu0 J over the meridian plane; the energy is pi times the integral of psi J.
    Iron of infinite permeability lets the field enter squarely: no condition on psi there. cells: elements over the
    width of the window.
    """
    from skfem import Basis, BilinearForm, ElementQuad2, LinearForm, MeshQuad, condense, solve
    from skfem.helpers import dot, grad

    currents = _currents(geometry)
    r, z = _grid(geometry, cells)
    basis = Basis(MeshQuad.init_tensor(r, z), ElementQuad2(), intorder=5)

    def density(x: NDArray[np.float64]) -> NDArray[np.float64]:
        total = np.zeros_like(x[0])
        for coil, current in currents:
            area = (coil.outer - coil.inner) * coil.length
            inside = (np.abs(x[0] - geometry.leg - coil.middle) < (coil.outer - coil.inner) / 2) & (
                np.abs(x[1] - coil.offset) < coil.length / 2
            )
            total = total + inside * coil.turns * current / area
        return total

    @BilinearForm
    def stiffness(u, v, w):  # type: ignore[no-untyped-def]
        return dot(grad(u), grad(v)) / w.x[0]

    @LinearForm
    def load(v, w):  # type: ignore[no-untyped-def]
        return MU_0 * density(w.x) * v

    right = load.assemble(basis)
    # With iron all round, psi is known but for a constant: one node is set to 0, and the energy does not see which.
    fixed = np.array([0]) if geometry.yokes else basis.get_dofs(lambda x: x[0] > r[-1] - 1e-9).flatten()
    psi = solve(*condense(stiffness.assemble(basis), right, D=fixed))
    energy = math.pi * float(psi @ right) / MU_0
    return 2 * energy


def _currents(geometry: Geometry) -> list[tuple[Coil, float]]:
    ratio = -sum(coil.turns for coil in geometry.one) / sum(coil.turns for coil in geometry.other)
    return [(coil, 1.0) for coil in geometry.one] + [(coil, ratio) for coil in geometry.other]


def _grid(geometry: Geometry, cells: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Radii and heights of the elements' sides: every face of a coil is one."""
    coils = [*geometry.one, *geometry.other]
    width, half = geometry.window.width, geometry.window.height / 2
    size = width / cells
    r = _fill([0.0, width, *(c.inner for c in coils), *(c.outer for c in coils)], size)
    z = _fill([-half, half, *(c.offset + s * c.length / 2 for c in coils for s in (-1, 1))], size)
    if not geometry.yokes:
        away = half * np.geomspace(1.02, FAR, 60)
        r = np.concatenate([r, width + away - half])
        z = np.concatenate([-away[::-1], z, away])
    return geometry.leg + r, z


def _fill(marks: list[float], size: float) -> NDArray[np.float64]:
    points = np.unique(np.round(marks, 9))
    parts = [
        np.linspace(a, b, max(1, math.ceil((b - a) / size)), endpoint=False) for a, b in itertools.pairwise(points)
    ]
    return np.concatenate([*parts, points[-1:]])
