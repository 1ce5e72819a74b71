"""The core: its laminations, stack and steel, and the dimensions that follow."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, model_validator

from bench.job.fields import Kilograms, Metres, Model, Tesla
from bench.job.profiles import known, load_table

__all__ = ["Core", "CoreShape"]


class CoreShape(Model):
    """Dimensions [m] of an E-I lamination: tongue a, window width and height, magnetic path."""

    tongue: float
    window_width: float
    window_height: float
    path: float


class Core(Model):
    """An E-I core; give a shipped lamination by name, or its tongue and window."""

    lamination: str = ""
    tongue: Metres | None = None
    window_width: Metres | None = None
    window_height: Metres | None = None
    path: Metres | None = None
    stack: Metres | None = None
    stacking_factor: Annotated[float, Field(gt=0.5, le=1.0)] = 0.93
    steel: str = ""
    interleave: Annotated[str, Field(pattern=r"^(1x1|2x2|3x3|4x4|butt)$")] = "1x1"
    band: Annotated[bool, Field(description="a closed band round the outside of core and coil")] = False
    mass: Kilograms | None = None
    flux_density_as_found: Tesla | None = None
    note: str = ""

    @model_validator(mode="before")
    @classmethod
    def _known_names(cls, data: Any) -> Any:
        if isinstance(data, dict):
            name = data.get("lamination")
            if isinstance(name, str) and name and _lamination(name) is None:
                raise ValueError(
                    f"lamination {name!r} is not known, expected one of {', '.join(_lamination_names())}, "
                    "or tongue, window_width and window_height"
                )
            steel = data.get("steel")
            if isinstance(steel, str) and steel and steel not in known("steels"):
                raise ValueError(f"steel {steel!r} is not known, expected one of {', '.join(known('steels'))}")
        return data

    @property
    def shape(self) -> CoreShape | None:
        """Dimensions, own ones first, then those of the named lamination; None while they are not known."""
        table = _lamination(self.lamination) or {}
        tongue = self.tongue or table.get("tongue")
        width = self.window_width or table.get("window_width")
        height = self.window_height or table.get("window_height")
        if tongue is None or width is None or height is None:
            return None
        # Mean path of an E-I lamination: twice window height, twice window width, and the corners; for
        # scrapless proportions this is the 6a of the handbooks (6a from memory, see laminations profile).
        path = self.path or table.get("path") or 2 * (height + width) + 2 * tongue
        return CoreShape(tongue=tongue, window_width=width, window_height=height, path=path)

    @property
    def net_area(self) -> float | None:
        """Steel cross section of the tongue [m2]: tongue x stack x stacking factor."""
        shape = self.shape
        if shape is None or self.stack is None:
            return None
        return shape.tongue * self.stack * self.stacking_factor


def _lamination_names() -> list[str]:
    return [name for table in known("laminations") for name in load_table("laminations", table)["size"]]


def _lamination(name: str) -> dict[str, float] | None:
    wanted = name.replace(" ", "").replace("-", "").upper()
    for table in known("laminations"):
        sizes: dict[str, dict[str, float]] = load_table("laminations", table)["size"]
        for known_name, size in sizes.items():
            if known_name.replace(" ", "").replace("-", "").upper() == wanted:
                return {key.removesuffix("_mm"): value * 1e-3 for key, value in size.items()}
    return None
