"""The stored results of the finite elements, one file a geometry."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tests.outside.fields.geometries import Geometry

__all__ = ["Result", "read", "write"]

FOLDER = Path(__file__).parent / "results"


@dataclass(frozen=True)
class Result:
    """inductance [H] referred to the first winding, program and version, and the geometry that was solved."""

    inductance: float
    program: str
    geometry: dict[str, Any]


def read(geometry: Geometry) -> Result:
    """What stands in the geometry's file. Raises FileNotFoundError."""
    return Result(**json.loads((FOLDER / f"{geometry.name}.json").read_text(encoding="utf-8")))


def write(geometry: Geometry, result: Result) -> None:
    """Put a result in the geometry's file."""
    text = json.dumps(asdict(result), indent=2) + "\n"
    (FOLDER / f"{geometry.name}.json").write_text(text, encoding="utf-8")
