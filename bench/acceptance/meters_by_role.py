"""Several meters at once, each for what it was named for; one without a role does the rest."""

from __future__ import annotations

from collections.abc import Mapping

from bench.acceptance.instrument import MeterInstrument
from bench.acceptance.meter_abilities import WaveReading
from bench.acceptance.requests import Connect, Take, Trouble
from bench.acceptance.watching import Seen
from drivers.reading import Quantity, Reading

__all__ = ["ROLES", "MetersByRole", "role_of"]

ROLES: dict[str, frozenset[Quantity]] = {
    "volts": frozenset({Quantity.VOLTAGE_AC, Quantity.VOLTAGE_DC, Quantity.FREQUENCY}),
    "amps": frozenset({Quantity.CURRENT_AC, Quantity.CURRENT_DC}),
    "ohms": frozenset({Quantity.RESISTANCE, Quantity.RESISTANCE_4W}),
}
"""What a meter of each role reads."""
_REST = ""


def role_of(quantity: Quantity) -> str:
    """The role that a quantity belongs to; raises ValueError for what no meter on a line reads."""
    for role, quantities in ROLES.items():
        if quantity in quantities:
            return role
    raise ValueError(f"no meter is named for {quantity}")


class MetersByRole:
    """An instrument out of several: each reading is taken by the meter that has its role.

    meters: by role, "" for the one that does the rest.  Raises ValueError for an unknown role or a meter that reads
    nothing of its own role.
    """

    def __init__(self, meters: Mapping[str, MeterInstrument]) -> None:
        self._meters = dict(meters)
        for role, meter in self._meters.items():
            if role != _REST and role not in ROLES:
                raise ValueError(f"{role!r} is no role of a meter, expected one of {', '.join(ROLES)}")
            if role != _REST and not (meter.quantities & ROLES[role]):
                raise ValueError(f"the meter named for {role} reads none: {', '.join(sorted(meter.quantities))}")

    @property
    def by_role(self) -> Mapping[str, MeterInstrument]:
        """Each meter, by its role; "" for the one that does the rest."""
        return self._meters

    def meter_for(self, quantity: Quantity) -> MeterInstrument | None:
        """The meter that reads a quantity, None where none does."""
        try:
            meter = self._meters.get(role_of(quantity)) or self._meters.get(_REST)
        except ValueError:
            meter = self._meters.get(_REST)
        return meter if meter is not None and quantity in meter.quantities else None

    @property
    def quantities(self) -> frozenset[Quantity]:
        return frozenset(quantity for quantity in Quantity if self.meter_for(quantity) is not None)

    @property
    def volt_spans(self) -> tuple[float, ...]:
        meter = self.meter_for(Quantity.VOLTAGE_AC)
        return () if meter is None else meter.volt_spans

    @property
    def range_error(self) -> float:
        meter = self.meter_for(Quantity.VOLTAGE_AC)
        return 0.0 if meter is None else meter.range_error

    @property
    def test_currents(self) -> tuple[tuple[float, float], ...]:
        meter = self.meter_for(Quantity.RESISTANCE)
        return () if meter is None else meter.test_currents

    @property
    def identity(self) -> str:
        return "; ".join(f"{role or 'the rest'}: {meter.identity}" for role, meter in self._meters.items())

    @property
    def at_once(self) -> bool:
        volts, amps = self.meter_for(Quantity.VOLTAGE_AC), self.meter_for(Quantity.CURRENT_AC)
        return volts is not None and amps is not None and volts is not amps

    @property
    def moves_by_hand(self) -> bool:
        return False

    def doubt_of(self, quantity: Quantity, value: float) -> float | None:
        meter = self.meter_for(quantity)
        return None if meter is None else meter.doubt_of(quantity, value)

    def wave_of(self, quantity: Quantity) -> WaveReading:
        meter = self.meter_for(quantity)
        return WaveReading() if meter is None else meter.wave_of(quantity)

    def take(
        self, take: Take, connected: Connect, live_volts: float = 0.0, seen: Seen = lambda value, words: None
    ) -> Reading:
        """One reading of the meter that has the role; raises Trouble."""
        meter = self.meter_for(take.quantity)
        if meter is None:
            raise Trouble(f"{take.step}: no meter here reads {take.quantity}")
        return meter.take(take, connected, live_volts, seen)
