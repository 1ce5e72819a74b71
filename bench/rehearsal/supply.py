"""What stands between the wall and the unit: the two sources, their voltage, the lamp in series."""

from __future__ import annotations

import math
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from bench.rehearsal.chance import stream
from bench.rehearsal.faults import Fault, FaultName, SizeKind
from bench.rehearsal.solve import orders
from bench.rehearsal.variation import Variation

__all__ = ["Lamp", "Mains", "Source"]


class Source(StrEnum):
    """Where the volts come from, with the most that it gives."""

    LOW_VOLTAGE = "low voltage"
    VARIAC = "variac"

    @property
    def most(self) -> float:
        """Greatest voltage [V]."""
        return 60.0 if self is Source.LOW_VOLTAGE else 290.0


class Mains:
    """The supply as it truly is: its frequency, distortion, and a level that wanders slowly."""

    def __init__(self, frequency: float, variation: Variation, faults: tuple[Fault, ...] = ()) -> None:
        wrong = [fault for fault in faults if fault.name is FaultName.SUPPLY_WRONG]
        meant = next((fault.size for fault in wrong if fault.kind is SizeKind.HERTZ), frequency)
        self.frequency = meant * variation.frequency_scale
        distortion = next((fault.size for fault in wrong if fault.kind is SizeKind.DISTORTION), None)
        own = variation.distortion
        factor = 1.0 if distortion is None or own == 0 else distortion / own
        self._harmonics = {order: share * factor for order, share in variation.harmonics.items()}
        if distortion and own == 0:
            self._harmonics = {3: complex(-distortion)}
        self._variation = variation
        self._phases = stream(variation.seed, "drift").uniform(0, 2 * math.pi, 2)

    @property
    def distortion(self) -> float:
        """Total harmonic distortion of the voltage."""
        return math.sqrt(sum(abs(share) ** 2 for share in self._harmonics.values()))

    def phasors(self, volts: float) -> NDArray[np.complex128]:
        """Peak phasors [V] of the odd harmonics for a true RMS voltage."""
        shares = np.array([1.0 if order == 1 else self._harmonics.get(int(order), 0.0) for order in orders()], complex)
        return np.asarray(math.sqrt(2) * volts * shares / math.sqrt(float(np.sum(np.abs(shares) ** 2))))

    def level(self, time: float) -> float:
        """What the source gives at a simulated time [s] per volt on its dial."""
        slow = math.sin(2 * math.pi * time / 1300 + self._phases[0]) + 0.5 * math.sin(
            2 * math.pi * time / 3100 + self._phases[1]
        )
        return self._variation.dial_scale * self._variation.supply_scale * (1 + self._variation.drift * slow / 1.5)


class Lamp:
    """An incandescent lamp: cold it has a twelfth of its hot resistance. Its law is from memory of tungsten lamps."""

    def __init__(self, volts: float, watts: float = 60.0) -> None:
        self._volts = volts
        self._hot = volts**2 / watts
        self.cold = self._hot / 12

    def resistance(self, volts: float) -> float:
        """Resistance [ohm] when it settled at an RMS voltage: current goes with about the power 0.56 of it."""
        return math.hypot(self.cold, self._hot * (abs(volts) / self._volts) ** 0.44)
