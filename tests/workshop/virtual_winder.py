"""A winder with lost motion in its traverse: what it winds when it runs a program."""

from __future__ import annotations

from dataclasses import dataclass, field

from bench.workshop.winder import Winder
from tests.workshop.rs274_reader import Dwelt, Machine, Moved, Waited, replay

__all__ = ["Laid", "VirtualWinder", "Wound", "wind"]


@dataclass
class Laid:
    """A layer: turns, where the wire's guide stood at its start and end [m], slowest and fastest [turns/min]."""

    turns: float
    start: float
    end: float
    last_speed: float
    fastest: float

    @property
    def direction(self) -> int:
        return 1 if self.end > self.start else -1


@dataclass
class Wound:
    """What was wound between two starts;  stops: messages with turns and place of the guide [m] at each."""

    start_message: str
    layers: list[Laid] = field(default_factory=list)
    stops: list[tuple[str, float, float]] = field(default_factory=list)

    @property
    def turns(self) -> float:
        return sum(layer.turns for layer in self.layers)


@dataclass
class VirtualWinder:
    """The machine that a profile describes.  The traverse's nut pushes the guide only after its play is used up."""

    winder: Winder
    guide: float = 0.0
    windings: list[Wound] = field(default_factory=list)
    between: list[str] = field(default_factory=list)
    fastest_traverse: float = 0.0
    dwelt: float = 0.0
    minutes: float = 0.0
    moved_before_first_wait: bool = False

    def run(self, machine: Machine) -> None:
        waited = False
        for one in machine.done:
            if isinstance(one, Waited):
                waited = True
                self._wait(" ".join(one.messages))
            elif isinstance(one, Dwelt):
                self.dwelt += one.seconds
            else:
                self.moved_before_first_wait |= not waited
                self._move(one)

    def _wait(self, message: str) -> None:
        self.between.append(message)
        if "fasten start" in message:
            self.windings.append(Wound(message))
        elif self.windings:
            self.windings[-1].stops.append((message, self.windings[-1].turns, self.guide))

    def _move(self, move: Moved) -> None:
        spindle, traverse = self.winder.spindle, self.winder.traverse
        turns = (move.after[spindle.axis] - move.before[spindle.axis]) / spindle.units_per_turn
        turns *= 1 if spindle.clockwise == "+" else -1
        started = self.guide
        commanded, play = move.after[traverse.axis] * 1e-3, traverse.backlash_mm * 1e-3
        # The guide hangs in the nut's play: a nut going right pushes it with one flank, going left with the other.
        self.guide = min(max(self.guide, commanded), commanded + play)
        if move.minutes is None:
            assert turns == 0
            return
        layers = self.windings[-1].layers
        speed = abs(turns) / move.minutes
        self.minutes += move.minutes
        # Both ends of a move are rounded, which on a single turn is a speed: it is not the program's doing.
        way = abs(self.guide - started) - self.winder.traverse_resolution
        self.fastest_traverse = max(self.fastest_traverse, way / move.minutes)
        direction = 1 if self.guide > started else -1
        if layers and layers[-1].direction == direction:
            layer = layers[-1]
            layer.turns, layer.end, layer.last_speed = layer.turns + turns, self.guide, speed
            layer.fastest = max(layer.fastest, speed)
        else:
            layers.append(Laid(turns, started, self.guide, speed, speed))


def wind(program: str, winder: Winder) -> VirtualWinder:
    """What the profile's machine makes of a program; raises Refused."""
    machine = VirtualWinder(winder)
    machine.run(replay(program))
    return machine
