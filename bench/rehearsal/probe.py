"""What the leads of an instrument carry, whatever the instrument: the seam between the bench and its meters."""

from __future__ import annotations

import math

import numpy as np

from bench.rehearsal.chance import stream
from bench.rehearsal.wiring import Connection, Quantity
from bench.rehearsal.workbench import Workbench

__all__ = ["Probe"]

_PICKUP_OPEN = 3e-3  # V of hum on leads that hang in the air
_PICKUP_CLIPPED = 50e-6  # V of hum on leads that are clipped to something
_BENCH_OPEN = 50e6  # ohm above which an ohmmeter sees nothing


class Probe:
    """The plugged leads as an instrument meets them: true values, before the instrument's own errors."""

    def __init__(self, bench: Workbench, seed: int) -> None:
        self._bench = bench
        self._contact = stream(seed, "contacts")
        self._contact_for: Connection | None = None
        self._contact_ohms = 0.0

    @property
    def changed_at(self) -> float:
        """Simulated time [s] at which a lead or the dial was last moved."""
        return self._bench.changed_at

    @property
    def connection(self) -> Connection | None:
        """Where the leads truly are."""
        return self._bench.wiring.connection

    def voltage(self, time: float) -> float:
        """RMS [V] of the alternating voltage between the leads."""
        connection = self.connection
        if connection is None or connection.quantity is Quantity.CURRENT_AC:
            return _PICKUP_OPEN
        return math.hypot(self._bench.voltage(connection.begin, connection.end, time), _PICKUP_CLIPPED)

    def current(self, time: float) -> float:
        """RMS [A] through the leads."""
        connection = self.connection
        if connection is None or connection.quantity is not Quantity.CURRENT_AC:
            return 0.0
        return self._bench.current(time)

    def resistance(self, time: float) -> float:
        """What two leads meet [ohm], their own resistance and contact included; infinite when open."""
        connection = self.connection
        if connection is None or connection.quantity is Quantity.CURRENT_AC:
            return math.inf
        found = self._bench.resistance(connection.begin, connection.end, time)
        if found >= _BENCH_OPEN:
            return math.inf
        return found + self._bench.variation.meter_leads + self._contact_now(connection)

    def resistance_four_wire(self, time: float) -> float:
        """What four leads meet [ohm]; infinite when they are not plugged for it."""
        connection = self.connection
        if connection is None or connection.quantity is not Quantity.RESISTANCE_4W:
            return math.inf
        found = self._bench.resistance(connection.begin, connection.end, time)
        return found if found < _BENCH_OPEN else math.inf

    def frequency(self, time: float) -> float:
        """Frequency [Hz] of the voltage between the leads; 0 where there is too little of it."""
        return self._bench.mains.frequency if self.voltage(time) > 20e-3 else 0.0

    def _contact_now(self, connection: Connection) -> float:
        """Clips never bite twice alike."""
        if connection is not self._contact_for:
            self._contact_for = connection
            self._contact_ohms = float(np.clip(self._contact.normal(0.0, 2e-3), -5e-3, 5e-3))
        return self._contact_ohms
