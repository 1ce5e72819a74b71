"""Solids to the binary STL file that printers' programs read."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bench.workshop.solid import Solid

__all__ = ["stl_bytes"]

# 80 bytes of anything, a count, then 50 bytes a facet: normal, three corners, two unused bytes; little-endian.
# STL has no unit; millimetres are the custom. After 3D Systems, StereoLithography Interface Specification (1989),
# from memory.
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])


def stl_bytes(solids: Sequence[Solid], title: str) -> bytes:
    """One STL file, in millimetres, of one or more solids that don't touch.

    title: what the file is, cut to the 80 bytes that the format has.  Raises ValueError: no solid; a title that would
    be taken for the other, textual form of the format.
    """
    if not solids:
        raise ValueError("no solid, expected at least one")
    if title.lstrip().lower().startswith("solid"):
        raise ValueError(f"title {title!r} begins like a textual STL file, expected another first word")
    corners = np.concatenate([one.vertices[one.triangles] for one in solids]) * 1e3
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    facets = np.zeros(len(corners), dtype=_FACET)
    facets["normal"] = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    facets["corners"] = corners
    head = title.encode("ascii", "replace")[:80].ljust(80)
    return head + np.array([len(facets)], dtype="<u4").tobytes() + facets.tobytes()
