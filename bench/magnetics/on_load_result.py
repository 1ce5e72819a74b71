"""What on-load calculation gives: values for a sheet, a verdict or a picture."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["EXCITING", "Drop", "OnLoad", "Rail", "WindingOnLoad"]

EXCITING = "exciting current"
"""The cause of that part of a drop that no load makes."""


@dataclass(frozen=True)
class Drop:
    """Volts [V rms] that one cause takes from one winding, by where they are lost; a gain is negative.

    own_resistance: in the winding's own copper;  fed_resistance: in that of the fed winding;  leakage: in the flux that
    passes between windings.
    """

    own_resistance: float
    fed_resistance: float
    leakage: float

    @property
    def total(self) -> float:
        """All three [V rms]."""
        return self.own_resistance + self.fed_resistance + self.leakage


@dataclass(frozen=True)
class WindingOnLoad:
    """One winding: volts by turns alone, with no load anywhere, and with all loads [V rms]; amps [A rms].

    A winding with a centre tap that feeds a full-wave rectifier: volts from end to end, amps in each half.
    peak_current [A];  copper_loss [W];  power [W] to its loads, negative for the winding that is fed.
    """

    name: str
    voltage_by_turns: float
    no_load_voltage: float
    voltage: float
    current: float
    peak_current: float
    copper_loss: float
    power: float


@dataclass(frozen=True)
class Rail:
    """What a rectifier gives: volts, mean and ripple from peak to peak [V]; amps, mean [A]; power to the load [W].

    winding_current [A rms] of its winding, each half where it has a tap;  diode_peak, diode_mean [A]:
    of one diode;  rectifier_loss, choke_loss [W];  least_choke_current [A]: above 0 the choke keeps conducting, at 0
    the rail is peaky like a capacitor input's; None without a choke.
    """

    winding: str
    voltage: float
    ripple: float
    current: float
    power: float
    winding_current: float
    diode_peak: float
    diode_mean: float
    rectifier_loss: float
    choke_loss: float
    least_choke_current: float | None


@dataclass(frozen=True)
class OnLoad:
    """A transformer under all its loads, fed `voltage` [V rms] at `frequency` [Hz].

    drops[victim][cause]: what the current of each winding, and the exciting current, takes from each unfed winding.
    They add up to volts by turns less volts on load, exactly: V0^2 - V^2 is the mean of (v0 - v)(v0 + v), and v0 - v is
    the sum of what each current takes, so that each takes the mean of its part times (v0 + v), over V0 + V.
    exciting_current [A rms], flux_density [T] peak (0 without a core), core_loss, input_power [W] from the supply.
    """

    voltage: float
    frequency: float
    fed: str
    windings: Mapping[str, WindingOnLoad]
    drops: Mapping[str, Mapping[str, Drop]]
    rails: tuple[Rail, ...]
    exciting_current: float
    flux_density: float
    core_loss: float
    input_power: float

    @property
    def copper_loss(self) -> float:
        """Of all windings [W]."""
        return math.fsum(winding.copper_loss for winding in self.windings.values())

    @property
    def output_power(self) -> float:
        """What the unfed windings give at their terminals [W]; rectifiers' losses are part of it."""
        return math.fsum(winding.power for name, winding in self.windings.items() if name != self.fed)

    @property
    def apparent_power(self) -> float:
        """RMS volts times RMS amps from the supply [VA]."""
        return self.voltage * self.windings[self.fed].current

    @property
    def power_factor(self) -> float:
        """Input watts over input volt-amperes."""
        return self.input_power / self.apparent_power if self.apparent_power else 1.0

    @property
    def efficiency(self) -> float:
        """Of the transformer alone: power out of its windings over power from the supply."""
        return self.output_power / self.input_power if self.input_power else 0.0
