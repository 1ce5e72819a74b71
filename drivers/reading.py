"""A reading: a value that carries its unit, its state and where its doubt comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

__all__ = ["Component", "Quantity", "Reading", "State"]


class Quantity(StrEnum):
    """What is read, with its SI unit in `unit`."""

    VOLTAGE_AC = "voltage_ac"
    VOLTAGE_DC = "voltage_dc"
    CURRENT_AC = "current_ac"
    CURRENT_DC = "current_dc"
    RESISTANCE = "resistance"
    RESISTANCE_4W = "resistance_4w"
    FREQUENCY = "frequency"
    INSULATION_RESISTANCE = "insulation_resistance"
    TEMPERATURE = "temperature"
    STACK_HEIGHT = "stack_height"
    POWER = "power"
    LEAKAGE_CURRENT = "leakage_current"
    STRAY_FIELD = "stray_field"
    TEST_VOLTAGE = "test_voltage"
    EARTH_RESISTANCE = "earth_resistance"
    LOAD_RESISTANCE = "load_resistance"
    FUSE = "fuse"
    TIME = "time"
    NOTICED = "noticed"
    EQUIPMENT_CLASS = "equipment_class"
    OWN = "own"

    @property
    def unit(self) -> str:
        return _UNITS[self]


_UNITS = {
    Quantity.VOLTAGE_AC: "V",
    Quantity.VOLTAGE_DC: "V",
    Quantity.CURRENT_AC: "A",
    Quantity.CURRENT_DC: "A",
    Quantity.RESISTANCE: "ohm",
    Quantity.RESISTANCE_4W: "ohm",
    Quantity.FREQUENCY: "Hz",
    Quantity.INSULATION_RESISTANCE: "ohm",
    Quantity.TEMPERATURE: "K",
    Quantity.STACK_HEIGHT: "m",
    Quantity.POWER: "W",
    Quantity.LEAKAGE_CURRENT: "A",
    Quantity.STRAY_FIELD: "T",
    Quantity.TEST_VOLTAGE: "V",
    Quantity.EARTH_RESISTANCE: "ohm",
    Quantity.LOAD_RESISTANCE: "ohm",
    Quantity.FUSE: "A",
    Quantity.TIME: "s",
    Quantity.NOTICED: "",
    Quantity.EQUIPMENT_CLASS: "",
    Quantity.OWN: "1",
}


class State(StrEnum):
    """Overload and no-value are states of a reading, never numbers."""

    GOOD = "good"
    OVERLOAD = "overload"
    NO_VALUE = "no value"


@dataclass(frozen=True, slots=True)
class Component:
    """One named source of doubt in a reading.

    source: id of the cause; readings that share an id share the error (same meter, function and
        range: gain), so that it cancels in their ratio.
    u: standard uncertainty of the cause, in the cause's own unit.
    sensitivity: change of the reading per change of the cause, with its sign.
    """

    source: str
    u: float
    sensitivity: float = 1.0


@dataclass(frozen=True, slots=True)
class Reading:
    """What an instrument, or a person reading one, said at one moment.

    value: SI, None unless the state is GOOD.  at: UTC.  monotonic: seconds, for differences.
    span: full scale of the range it was taken on, SI, where known.
    """

    quantity: Quantity
    value: float | None
    state: State
    instrument: str
    at: datetime
    monotonic: float
    raw: str = ""
    components: tuple[Component, ...] = field(default=())
    span: float | None = None

    def __post_init__(self) -> None:
        if (self.state is State.GOOD) != (self.value is not None and math.isfinite(self.value)):
            raise ValueError(f"a reading in state {self.state} can't hold the value {self.value!r}")

    @property
    def unit(self) -> str:
        return self.quantity.unit

    @property
    def standard_uncertainty(self) -> float:
        """u of the reading alone, all components taken as independent of each other; SI."""
        return math.sqrt(sum((c.sensitivity * c.u) ** 2 for c in self.components))
