"""What a unit is made of: coils, contacts and iron."""

from __future__ import annotations

from dataclasses import dataclass

from bench.rehearsal.steel import Steel

__all__ = ["RESISTIVITY_20", "Coil", "Contact", "Iron"]

RESISTIVITY_20 = 1.7241e-8
"""Of annealed copper [ohm m] (IEC 60028)."""
_TEMPERATURE_FACTOR = 3.93e-3  # 1/K at 20 degC (IEC 60028)


@dataclass(frozen=True, slots=True)
class Coil:
    """Turns in a row between two nodes; `turns` carries the sense, `resistance` [ohm] is that at 20 degC."""

    winding: str
    begin: str
    end: str
    turns: float
    resistance: float
    depth: float
    build: float
    mean_turn: float

    def resistance_at(self, temperature: float) -> float:
        """Resistance [ohm] at a temperature [K]."""
        return self.resistance * (1 + _TEMPERATURE_FACTOR * (temperature - 293.15))

    @property
    def wire_area(self) -> float:
        """Cross section [m2] of the copper, by its ohms."""
        return RESISTIVITY_20 * abs(self.turns) * self.mean_turn / self.resistance


@dataclass(frozen=True, slots=True)
class Contact:
    """A resistance [ohm] between two nodes that a fault put there."""

    begin: str
    end: str
    resistance: float


@dataclass(frozen=True, slots=True)
class Iron:
    """The core: steel area [m2], path [m], total air gap [m], steel and its two scales.

    bridge: conductance [S], as of one turn around the core, of what joins its laminations.
    """

    steel: Steel
    area: float
    path: float
    gap: float
    field_scale: float
    loss_scale: float
    bridge: float = 0.0

    @property
    def volume(self) -> float:
        """Of steel [m3]."""
        return self.area * self.path
