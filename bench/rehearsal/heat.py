"""How warm the unit is: copper and steel as two bodies that warm each other and lose their heat to the room."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bench.job.model import Job
from bench.rehearsal.unit import Unit

__all__ = ["Heat", "heat_of"]

_COPPER = (8960.0, 385.0)  # kg/m3, J/(kg K); tables of materials, from memory
_STEEL = (7650.0, 460.0)
_TO_ROOM = 12.0  # W/(m2 K), still air and radiation together, from memory
_COPPER_SHARE = 0.35  # of the surface: the heads of the coil
_INTO_STEEL = 300.0  # s in which the copper would give its heat to a cold core
_STEP = 5.0  # s


@dataclass
class Heat:
    """capacities [J/K], conductances [W/K];  copper, iron: warmer than the room by [K], at the moment `at` [s]."""

    copper_capacity: float
    iron_capacity: float
    between: float
    copper_to_room: float
    iron_to_room: float
    copper: float = 0.0
    iron: float = 0.0
    at: float = 0.0

    def since(self, time: float) -> None:
        """It is as it is at this moment."""
        self.at = max(self.at, time)

    def cool(self, time: float) -> None:
        """Bring it to a moment, with nothing fed since the last."""
        passed = time - self.at
        self.at = max(self.at, time)
        if passed > 0 and (self.copper or self.iron):
            self.pass_on(min(passed, 1e5), 0.0, 0.0)

    def pass_on(self, seconds: float, copper_watts: float, iron_watts: float) -> None:
        """Let so much time pass under steady losses."""
        steps = max(1, math.ceil(seconds / _STEP))
        each = seconds / steps
        for _ in range(steps):
            across = self.between * (self.copper - self.iron)
            copper = (copper_watts - across - self.copper_to_room * self.copper) / self.copper_capacity
            iron = (iron_watts + across - self.iron_to_room * self.iron) / self.iron_capacity
            self.copper += each * copper
            self.iron += each * iron


def heat_of(job: Job, unit: Unit) -> Heat:
    """A cold unit, by the copper and the steel that it truly has and the box that they fill."""
    copper = sum(coil.wire_area * abs(coil.turns) * coil.mean_turn for coil in unit.coils)
    copper_capacity = copper * _COPPER[0] * _COPPER[1]
    iron_capacity = unit.iron.volume * _STEEL[0] * _STEEL[1]
    shape = job.core.shape
    assert shape is not None, "build_unit refuses such a job"
    wide, high = 2 * (shape.tongue + shape.window_width), shape.window_height + shape.tongue
    deep = unit.stack + 2 * shape.window_width
    to_room = _TO_ROOM * 2 * (wide * high + wide * deep + high * deep)
    return Heat(
        copper_capacity,
        iron_capacity,
        copper_capacity / _INTO_STEEL,
        _COPPER_SHARE * to_room,
        (1 - _COPPER_SHARE) * to_room,
    )
