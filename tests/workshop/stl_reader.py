"""A binary STL file read back, for what a printer's program asks of it; after the format, not after our writer."""

from __future__ import annotations

import struct
from collections import Counter
from dataclasses import dataclass

Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Shell:
    """Facets that hang together, corners in mm."""

    facets: list[tuple[Corner, Corner, Corner]]

    @property
    def volume(self) -> float:
        """[mm3], positive where the facets look outwards."""
        total = 0.0
        for (ax, ay, az), (bx, by, bz), (cx, cy, cz) in self.facets:
            total += ax * (by * cz - bz * cy) - ay * (bx * cz - bz * cx) + az * (bx * cy - by * cx)
        return total / 6

    @property
    def bounds(self) -> tuple[Corner, Corner]:
        corners = [corner for facet in self.facets for corner in facet]
        low = tuple(min(c[k] for c in corners) for k in range(3))
        high = tuple(max(c[k] for c in corners) for k in range(3))
        return low, high  # type: ignore[return-value]

    @property
    def open_edges(self) -> int:
        """Edges that are not run through once in each direction: none in a watertight shell."""
        ways = Counter((f[k], f[(k + 1) % 3]) for f in self.facets for k in range(3))
        return sum(count != 1 or ways[(end, begin)] != 1 for (begin, end), count in ways.items())


@dataclass(frozen=True)
class StlFile:
    head: bytes
    shells: list[Shell]
    wrong_normals: int


def read_stl(content: bytes) -> StlFile:
    (count,) = struct.unpack_from("<I", content, 80)
    assert len(content) == 84 + 50 * count
    facets, wrong = [], 0
    for number in range(count):
        values = struct.unpack_from("<12fH", content, 84 + 50 * number)
        a, b, c = values[3:6], values[6:9], values[9:12]
        u, v = [b[k] - a[k] for k in range(3)], [c[k] - a[k] for k in range(3)]
        cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
        size = sum(x * x for x in cross) ** 0.5
        wrong += not (size > 0 and all(abs(x / size - n) < 1e-3 for x, n in zip(cross, values[:3], strict=True)))
        facets.append((a, b, c))
    return StlFile(content[:80], _shells(facets), wrong)


def _shells(facets: list[tuple[Corner, Corner, Corner]]) -> list[Shell]:
    home: dict[Corner, Corner] = {}

    def root(corner: Corner) -> Corner:
        while home.setdefault(corner, corner) != corner:
            home[corner] = home[home[corner]]
            corner = home[corner]
        return corner

    for a, b, c in facets:
        home[root(a)] = root(b)
        home[root(b)] = root(c)
    groups: dict[Corner, list[tuple[Corner, Corner, Corner]]] = {}
    for facet in facets:
        groups.setdefault(root(facet[0]), []).append(facet)
    return [Shell(group) for group in groups.values()]
