"""One reading that a unit should give, with its doubt: the form in which a sheet, a page or a screen takes it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Foreseen", "Kind"]


class Kind(StrEnum):
    """What is read."""

    RESISTANCE = "resistance at 20 °C"
    RATIO = "turns ratio to the primary"
    OPEN_CIRCUIT = "open-circuit volts"
    SERIES_SUM = "series sum with the primary, per volt on it"
    SERIES_DIFFERENCE = "series difference, per volt on the primary"
    EXCITING_CURRENT = "exciting current"
    CORE_WATTS = "core loss"
    ON_LOAD = "volts on load"
    LOAD_CURRENT = "RMS current on load"
    RAIL = "direct volts of the rail"
    RIPPLE = "ripple of the rail, peak to peak"
    EFFICIENCY = "efficiency on load"
    RISE = "temperature rise on load"


@dataclass(frozen=True)
class Foreseen:
    """value and u (standard uncertainty), SI, in `unit`;  of: the winding, section or pair;  at: the condition in
    words, such as `253 V`."""

    kind: Kind
    of: str
    at: str
    value: float
    u: float
    unit: str

    def as_json(self) -> dict[str, str | float]:
        return {
            "quantity": str(self.kind),
            "of": self.of,
            "at": self.at,
            "value": self.value,
            "u": self.u,
            "unit": self.unit,
        }
