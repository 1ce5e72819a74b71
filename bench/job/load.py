"""What a winding feeds in the equipment: a plain load, or a rectifier with its filter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pydantic import model_validator

from bench.job.fields import Amps, Farads, Henries, Model, Ohms, Volts
from bench.job.winding import Role, Winding

__all__ = ["Load", "check_loads"]


class Load(Model):
    """Load of one winding.

    rectifier: none for heaters and lamps; `bridge`; `full-wave` with a centre tap; `half-wave`.  current: RMS of a
    plain load, direct current of a rectifier.  A plain load, and a rectifier without a filter, is the resistance that
    takes its current at the winding's rated_voltage.  rail_voltage: the direct volts that a design is to give.
    diode_drop [V] with diode_resistance [ohm]: about 1 V and nothing for silicon, for a valve the slope of its sheet.
    """

    winding: str
    rectifier: Literal["none", "bridge", "full-wave", "half-wave"] = "none"
    filter: Literal["none", "capacitor", "choke"] = "none"
    current: Amps
    rail_voltage: Volts | None = None
    capacitance: Farads | None = None
    choke: Henries | None = None
    choke_resistance: Ohms | None = None
    diode_drop: Volts | None = None
    diode_resistance: Ohms | None = None

    @model_validator(mode="after")
    def _whole(self) -> Load:
        if self.rectifier == "none":
            if self.filter != "none" or self.capacitance or self.choke:
                raise ValueError(
                    f"the load of {self.winding} has a filter and no rectifier, expected rectifier = 'bridge'"
                )
            self._lacks("rectifier", "rectifier = 'bridge'", "diode_drop", "diode_resistance", "rail_voltage")
        if self.filter == "none":
            self._lacks("filter", "filter = 'capacitor'", "capacitance")
        if self.filter != "choke":
            self._lacks("choke input", "filter = 'choke'", "choke", "choke_resistance")
        if self.filter != "none" and self.capacitance is None:
            raise ValueError(f"the filter of {self.winding} has no capacitance, expected such as capacitance = '16 µF'")
        if self.filter == "choke" and self.choke is None:
            raise ValueError(f"the filter of {self.winding} has no choke, expected such as choke = '10 H'")
        return self

    def _lacks(self, what: str, expected: str, *keys: str) -> None:
        for key in keys:
            if getattr(self, key) is not None:
                raise ValueError(f"the load of {self.winding} has {key} and no {what}, expected {expected} or no {key}")


def check_loads(loads: Sequence[Load], windings: Sequence[Winding]) -> None:
    """That each load is on a winding that can feed it; raises ValueError."""
    by_name = {one.name: one for one in windings}
    for load in loads:
        whole, dot, _ = load.winding.partition(".")
        if whole not in by_name:
            raise ValueError(f"a load of {load.winding!r}, expected a winding's name")
        if dot:
            raise ValueError(
                f"a load of {load.winding!r}, expected a whole winding; a section with a load of its own is written as "
                "a winding of its own"
            )
        winding = by_name[whole]
        if winding.role is Role.PRIMARY:
            raise ValueError(f"a load of {whole!r}, which is the winding that is fed, expected a secondary")
        if load.rectifier == "full-wave" and len(winding.taps) != 1:
            raise ValueError(
                f"a full-wave rectifier on {whole}, which has {len(winding.taps)} taps, expected exactly 1: its centre"
            )
