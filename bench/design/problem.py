"""What a design search is asked: volts, currents and limits, apart from how the answer is found."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from bench.design.fill import Need, Room, WireOption
from bench.job.core import CoreShape
from bench.magnetics.emf import EMF_FACTOR
from bench.magnetics.excitation import MagneticCore
from bench.magnetics.exciting_curve import exciting_curve
from bench.magnetics.thermal import estimate_rise, outer_surface

__all__ = ["Aim", "DesignProblem", "SecondaryTarget"]


class Aim(Enum):
    """What is made least."""

    LOSS = "loss"
    TEMPERATURE = "temperature"
    COPPER = "copper"


@dataclass(frozen=True)
class SecondaryTarget:
    """volts [V] that a secondary is to give (on load, open, or on its rail);  regulation: volts by its turns over
    those;  current [A rms];  whole: turns come in this many, 2 where halves are to be equal;  fixed: that stay."""

    name: str
    volts: float
    regulation: float
    current: float
    whole: int = 1
    fixed: int | None = None

    def exact_turns(self, turns_per_volt: float) -> float:
        """Turns, unrounded, that give the volts."""
        return self.volts * self.regulation * turns_per_volt

    def turns(self, turns_per_volt: float) -> int:
        """The nearest turns that can be wound."""
        if self.fixed is not None:
            return self.fixed
        return max(self.whole, round(self.exact_turns(turns_per_volt) / self.whole) * self.whole)

    def volts_off(self, turns_per_volt: float) -> float:
        """By what fraction the volts come out wrong with whole turns."""
        return abs(self.turns(turns_per_volt) / self.exact_turns(turns_per_volt) - 1)


@dataclass(frozen=True)
class DesignProblem:
    """room: where copper may lie;  primary: its name;  voltage [V], frequency [Hz], tolerance of the supply;
    secondaries in no order;  order: all names, inside first;  options: wires by winding;  after [m]: what lies on each
    winding;  most_flux [T] at nominal, most_flux_high [T] at the upper limit;  most_rise [K];  volts_within;  aim;
    free_after: windings from that one on may lie in any order, None: all as in `order`."""

    shape: CoreShape
    room: Room
    core: MagneticCore
    primary: str
    voltage: float
    frequency: float
    tolerance: float
    secondaries: tuple[SecondaryTarget, ...]
    order: tuple[str, ...]
    options: dict[str, tuple[WireOption, ...]]
    after: dict[str, float]
    most_flux: float
    most_flux_high: float
    most_rise: float
    volts_within: float
    aim: Aim
    free_after: int | None = None

    @property
    def fewest_turns(self) -> int:
        """Primary turns that keep the flux below both limits."""
        area = EMF_FACTOR * self.frequency * self.core.area
        nominal = self.voltage / (area * self.most_flux)
        high = self.voltage * (1 + self.tolerance) / (area * self.most_flux_high)
        return math.ceil(max(nominal, high) - 1e-9)

    def flux_density(self, primary_turns: int) -> float:
        """Flux density [T] at nominal volts."""
        return self.voltage / (EMF_FACTOR * self.frequency * primary_turns * self.core.area)

    def volts_come_out(self, primary_turns: int) -> bool:
        """Whether whole turns give every secondary its volts closely enough."""
        per_volt = primary_turns / self.voltage
        return all(one.fixed is not None or one.volts_off(per_volt) <= self.volts_within for one in self.secondaries)

    def needs(self, primary_turns: int) -> tuple[Need, ...]:
        """What each winding must be with so many turns on the primary, in the order of winding."""
        turns = self._secondary_turns(primary_turns)
        reflected = sum(turns[one.name] / primary_turns * one.current for one in self.secondaries)
        return self._needs(turns, primary_turns, math.hypot(reflected, self._exciting(primary_turns)))

    def least_needs(self, first: int, last: int) -> tuple[Need, ...]:
        """No more, in turns and in current, than any primary from `first` to `last` turns asks for: rounding may lower
        the reflected current by what the volts may lie off, and more turns take less exciting current."""
        reflected = sum(
            one.current * (one.fixed / last if one.fixed is not None else one.exact_turns(1 / self.voltage) * lowest)
            for one in self.secondaries
            for lowest in (1 - self.volts_within,)
        )
        current = math.hypot(reflected, self._exciting(last))
        return self._needs(self._secondary_turns(first), first, current)

    def _secondary_turns(self, primary_turns: int) -> dict[str, int]:
        return {one.name: one.turns(primary_turns / self.voltage) for one in self.secondaries}

    def _exciting(self, primary_turns: int) -> float:
        return float(exciting_curve(self.core, primary_turns, np.array([self.voltage]), self.frequency).current[0])

    def _needs(self, turns: dict[str, int], primary_turns: int, primary_current: float) -> tuple[Need, ...]:
        turns = {**turns, self.primary: primary_turns}
        current = {one.name: one.current for one in self.secondaries} | {self.primary: primary_current}
        return tuple(
            Need(name, turns[name], current[name], self.options[name], self.after[name]) for name in self.order
        )

    def core_loss(self, primary_turns: int) -> float:
        """Core loss [W] at nominal volts."""
        return float(exciting_curve(self.core, primary_turns, np.array([self.voltage]), self.frequency).core_loss[0])

    @property
    def most_loss(self) -> float:
        """Watts of core and copper together that make the rise that is allowed."""
        surface = outer_surface(self.shape.tongue, self.room.stack, self.shape.window_width, self.shape.window_height)
        low, high = 10.5 * surface, 1999.0 * surface
        if estimate_rise(surface, high, 0.0, _ROOM).rise <= self.most_rise:
            return high
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (
                (middle, high) if estimate_rise(surface, middle, 0.0, _ROOM).rise < self.most_rise else (low, middle)
            )
        return low

    def with_wider_window(self, width: float) -> DesignProblem:
        """The same in a window of another width [m], its path and area kept."""
        return replace(self, room=replace(self.room, width=width))


_ROOM = 298.15
