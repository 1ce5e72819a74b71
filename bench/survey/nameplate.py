"""Volts of the nameplate beside those that were read: what usually lies between them, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from bench.job.as_found import AsFound
from bench.survey.evidence import Evidence

__all__ = ["NameplateNote", "nameplate_notes", "plate_power"]


@dataclass(frozen=True)
class NameplateNote:
    """nameplate [V];  open_volts [V]: as read, brought to the plate's supply;  rise: open over nameplate, less one;
    usual_low, usual_high: of units of this power."""

    winding: str
    nameplate: float
    open_volts: float
    usual_low: float
    usual_high: float

    @property
    def rise(self) -> float:
        return self.open_volts / self.nameplate - 1

    @property
    def usual(self) -> bool:
        """Within the usual, with 3 % for the rounding of the plate and the supply on the day."""
        return self.usual_low - 0.03 <= self.rise <= self.usual_high + 0.03


def nameplate_notes(found: AsFound, evidence: Evidence, rules: dict[str, Any]) -> tuple[NameplateNote, ...]:
    """One for each secondary whose plate is known and whose open volts were read with the primary fed; rules:
    profiles/limits/survey."""
    table = rules["nameplate"]
    power = plate_power(found) or float(rules["rating"]["usual_power_VA"])
    low = float(np.interp(power, table["power_VA"], table["rise_low"]))
    high = float(np.interp(power, table["power_VA"], table["rise_high"]))
    notes = []
    for one in evidence.volts:
        if "." in one.winding or found.primary is None or one.fed != found.primary.name:
            continue
        winding, fed = found.get_winding(one.winding), found.get_winding(one.fed)
        if winding.nameplate_voltage is None or fed.nameplate_voltage is None:
            continue
        at_plate = one.volts.value * fed.nameplate_voltage / one.fed_volts.value
        notes.append(NameplateNote(one.winding, winding.nameplate_voltage, at_plate, low, high))
    return tuple(notes)


def plate_power(found: AsFound) -> float | None:
    """VA by the label, else by volts and amps of the secondaries' plates; None where neither is known."""
    if found.label_power is not None:
        return found.label_power
    primary = found.primary
    parts = [
        one.nameplate_voltage * one.nameplate_current
        for one in found.winding
        if one is not primary and one.nameplate_voltage is not None and one.nameplate_current is not None
    ]
    return sum(parts) or None
