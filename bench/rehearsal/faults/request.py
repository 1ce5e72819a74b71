"""A fault as it was asked for: its place and size are read here, and refused in one line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bench.job.model import Job
from bench.job.winding import Winding
from bench.quantities import Dimension, QuantityError, parse
from bench.rehearsal.faults.model import FaultName, Place, SizeKind
from bench.rehearsal.problems import RehearsalProblem

__all__ = ["MOST_TURNS", "Request", "fewest_turns", "primary", "thinnest_wire"]

MOST_TURNS = 100_000
"""That a job may give a winding."""


@dataclass(frozen=True, slots=True)
class Request:
    """What stands behind a fault's name: the places as written, and the size, empty where none was given."""

    name: FaultName
    job: Job
    written: tuple[str, ...]
    size: str

    def refuse(self, why: str) -> RehearsalProblem:
        """The refusal in the fault's name."""
        return RehearsalProblem(f"fault {self.name}: {why}")

    def no_size(self) -> None:
        """Refuse any size."""
        if self.size:
            raise self.refuse(f"{self.size!r} given, expected no size")

    def no_place(self) -> None:
        """Refuse any place."""
        if self.written:
            raise self.refuse(f"{','.join(self.written)!r} given, expected no winding")

    def windings(self) -> tuple[Winding, ...]:
        """Of the job."""
        return self.job.winding

    def place(self, text: str) -> Place:
        """A winding, or the half of one that ends at a tap."""
        name, dot, tap = text.partition(".")
        winding = next((w for w in self.windings() if w.name == name), None)
        names = ", ".join(w.name for w in self.windings())
        if winding is None:
            raise self.refuse(f"winding {name!r} is not in the job, expected one of {names}")
        taps = winding.lead_names[1:] if winding.taps else ()
        if dot and tap not in taps:
            halves = ", ".join(f"{name}.{t}" for t in taps) or f"{name} alone: it has no taps"
            raise self.refuse(f"{text!r} is no part of a winding, expected {halves}")
        return Place(name, tap if dot else "")

    def one_place(self, default: Callable[[Job], str]) -> Place:
        """The one place that is written, or the one that is due."""
        if len(self.written) > 1:
            raise self.refuse(f"{len(self.written)} windings given, expected one")
        return self.place(self.written[0] if self.written else default(self.job))

    def turns_at(self, place: Place) -> int:
        """Turns that the job gives the named half, or the whole winding."""
        winding = self.job.get_winding(place.name)
        return dict((end, n) for _, end, n in winding.sections).get(place.tap, winding.turns or 0)

    def turns_off(self, size: str, turns: int, wrong: int) -> None:
        """Refuse a number of turns that is off by none, or by all of them and more."""
        if wrong == 0 or turns + wrong < 1:
            left = f"leaves {turns + wrong} of {turns} turns"
            raise self.refuse(f"size {size!r} {left}, expected another number above 0")

    def number(self, kind: SizeKind, dimension: Dimension, bare: float, least: float, most: float) -> float:
        """The size in SI; `bare` is what one is worth where no unit stands."""
        try:
            value = float(self.size) * bare
        except ValueError:
            try:
                value = parse(self.size, dimension)
            except QuantityError:
                raise self.refuse(f"size {self.size!r}, expected {kind.value}") from None
        if not least <= value <= most:
            raise self.refuse(f"size {self.size!r} is out of reach, expected {kind.value}")
        return value

    def whole(self, kind: SizeKind, most: int, *units: str) -> int:
        """A whole number, either way up to `most`, with or without one of the units behind it."""
        text = self.size
        for unit in units:
            text = text.removesuffix(unit)
        try:
            value = int(text.strip())
        except ValueError:
            raise self.refuse(f"size {self.size!r}, expected {kind.value}") from None
        if abs(value) > most:
            raise self.refuse(f"size {self.size!r} is out of reach, expected {kind.value}")
        return value


def fewest_turns(job: Job) -> str:
    """The secondary on which a turn weighs most."""
    return min(job.secondaries or job.winding, key=lambda winding: winding.turns or 0).name


def primary(job: Job) -> str:
    """The fed winding, else the innermost."""
    return (job.primary or job.winding[0]).name


def thinnest_wire(job: Job) -> str:
    """The winding whose wire breaks first."""
    return min(job.winding, key=lambda winding: winding.wire.diameter if winding.wire else 1.0).name
