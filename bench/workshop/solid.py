"""Block and cheeks as closed triangle meshes, by the geometry library of the extra `solid`."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bench.workshop.support import Support

__all__ = ["LibraryMissing", "Solid", "block_solid", "cheek_solid", "laid_out", "require_library"]

_HOLE_SIDES = 96
_BETWEEN_PARTS = 8e-3
"""Room between two parts on the printer's bed [m] (common practice, no source)."""


class LibraryMissing(ImportError):
    """The geometry library is not installed; the message says how it is."""


@dataclass(frozen=True)
class Solid:
    """A closed surface.  vertices [m]: (n, 3);  triangles: (m, 3) indices, anticlockwise seen from outside."""

    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume(self) -> float:
        """Enclosed volume [m3], by the divergence theorem: a sixth of the sum of the triple products."""
        a, b, c = (self.vertices[self.triangles[:, corner]] for corner in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6

    def moved(self, x: float, y: float, z: float = 0.0) -> Solid:
        """The same elsewhere; x, y, z [m]."""
        return Solid(self.vertices + np.array([x, y, z]), self.triangles)


def require_library() -> None:
    """Raises LibraryMissing with one line where the extra `solid` is not installed."""
    try:
        import manifold3d  # noqa: F401
    except ImportError:
        raise LibraryMissing(
            "a solid needs the geometry library manifold3d (the extra `solid`: pip install -e '.[solid]' in the folder "
            "of the program); the drawing needs nothing"
        ) from None


def block_solid(support: Support) -> Solid:
    """The block standing on its end, z from 0 to its length, the hole along z.  Raises LibraryMissing."""
    x, y = support.width / 2, support.depth / 2
    return _extruded([[(-x, -y), (x, -y), (x, y), (-x, y)], _circle(support.hole)], support.length)


def cheek_solid(support: Support) -> Solid:
    """One cheek lying flat, z from 0 to its thickness, its slots open to -y and +y.  Raises LibraryMissing."""
    x, y = support.cheek_width / 2, support.cheek_depth / 2
    s, b = support.slot_width / 2, support.slot_bottom
    outline = [
        *[(-x, -y), (-s, -y), (-s, -b), (s, -b), (s, -y), (x, -y)],
        *[(x, y), (s, y), (s, b), (-s, b), (-s, y), (-x, y)],
    ]
    return _extruded([outline, _circle(support.hole)], support.cheek_thickness)


def laid_out(support: Support) -> tuple[Solid, ...]:
    """Block and both cheeks side by side on the bed of a printer, none touching another.  Raises LibraryMissing."""
    block, cheek = block_solid(support), cheek_solid(support)
    step = support.cheek_width / 2 + _BETWEEN_PARTS + support.width / 2
    beside = step + support.width / 2 + _BETWEEN_PARTS + support.cheek_width / 2
    return cheek, block.moved(step, 0.0), cheek.moved(beside, 0.0)


def _circle(diameter: float) -> list[tuple[float, float]]:
    """A polygon round the circle, touching it with its sides: what goes into the hole has its whole diameter."""
    radius = diameter / 2 / math.cos(math.pi / _HOLE_SIDES)
    angles = [2 * math.pi * k / _HOLE_SIDES for k in range(_HOLE_SIDES)]
    return [(radius * math.cos(angle), radius * math.sin(angle)) for angle in angles]


def _extruded(contours: Sequence[Sequence[tuple[float, float]]], height: float) -> Solid:
    require_library()
    from manifold3d import CrossSection, FillRule

    # In millimetres: the library merges what lies closer than its tolerance, which is meant for numbers of that size.
    flat = CrossSection([np.array(one) * 1e3 for one in contours], FillRule.EvenOdd)
    mesh = flat.extrude(height * 1e3).to_mesh64()
    return Solid(np.asarray(mesh.vert_properties)[:, :3] * 1e-3, np.asarray(mesh.tri_verts).astype(np.int64))
