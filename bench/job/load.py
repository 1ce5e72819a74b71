"""What a winding feeds in the equipment: a plain load, or a rectifier with its filter."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from bench.job.fields import Amps, Farads, Henries, Model, Ohms, Volts

__all__ = ["Load"]


class Load(Model):
    """Load of one winding.

    rectifier: none for heaters and lamps; `bridge`; `full-wave` with a centre tap; `half-wave`.  current: RMS of a
    plain load, direct current of a rectifier.  diode_drop [V] with diode_resistance [ohm]: about 1 V and nothing for
    silicon, for a valve the slope of its sheet.
    """

    winding: str
    rectifier: Literal["none", "bridge", "full-wave", "half-wave"] = "none"
    filter: Literal["none", "capacitor", "choke"] = "none"
    current: Amps
    capacitance: Farads | None = None
    choke: Henries | None = None
    choke_resistance: Ohms | None = None
    diode_drop: Volts | None = None
    diode_resistance: Ohms | None = None

    @model_validator(mode="after")
    def _whole(self) -> Load:
        if self.rectifier == "none" and (self.filter != "none" or self.capacitance or self.choke):
            raise ValueError(f"the load of {self.winding} has a filter and no rectifier, expected rectifier = 'bridge'")
        if self.filter != "none" and self.capacitance is None:
            raise ValueError(f"the filter of {self.winding} has no capacitance, expected such as capacitance = '16 µF'")
        if self.filter == "choke" and self.choke is None:
            raise ValueError(f"the filter of {self.winding} has no choke, expected such as choke = '10 H'")
        return self
