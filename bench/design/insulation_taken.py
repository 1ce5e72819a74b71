"""What lies between the copper of a job, with what is taken where the job doesn't say: one place for all who lay it."""

from __future__ import annotations

from dataclasses import dataclass

from bench.job.model import Insulation

__all__ = ["InsulationTaken", "insulation_taken"]

_FORMER, _MARGIN, _BETWEEN_LAYERS, _BETWEEN_WINDINGS = 1e-3, 2e-3, 0.0, 0.4e-3


@dataclass(frozen=True)
class InsulationTaken:
    """former [m]: thickness of its wall and flanges;  margin [m] at either end of a layer;  between_layers,
    between_windings [m];  not_stated: for each of them that the job doesn't say, what was taken, in words."""

    former: float
    margin: float
    between_layers: float
    between_windings: float
    not_stated: tuple[str, ...]

    @property
    def margin_not_stated(self) -> str:
        """In words what was taken for the margin; empty where the job says it."""
        return next((one for one in self.not_stated if one.startswith("margin")), "")


def insulation_taken(insulation: Insulation) -> InsulationTaken:
    """Former of 1 mm, margin of 2 mm, nothing between layers, 0.4 mm between windings, where the job doesn't say
    (common practice, no source)."""
    not_stated = []

    def taken(stated: float | None, otherwise: float, what: str) -> float:
        if stated is not None:
            return stated
        amount = f"{otherwise * 1e3:g} mm" if otherwise else "nothing"
        not_stated.append(f"{what} not stated, {amount} taken")
        return otherwise

    return InsulationTaken(
        former=taken(insulation.former_thickness, _FORMER, "former"),
        margin=taken(insulation.margin, _MARGIN, "margin"),
        between_layers=taken(insulation.between_layers, _BETWEEN_LAYERS, "insulation between layers"),
        between_windings=taken(insulation.between_windings, _BETWEEN_WINDINGS, "insulation between windings"),
        not_stated=tuple(not_stated),
    )
