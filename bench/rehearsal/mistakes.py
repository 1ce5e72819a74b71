"""The mistakes of a hand that reads wrong: leads on wrong terminals, a slipped decimal point."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from bench.job.model import Job
from bench.rehearsal.chance import stream
from bench.rehearsal.faults import Fault, FaultName
from bench.rehearsal.supply import Source
from bench.rehearsal.wiring import Connection, Excitation, Quantity

__all__ = ["Mistakes"]

_OHMS = (Quantity.RESISTANCE, Quantity.RESISTANCE_4W)


@dataclass
class Mistakes:
    """Which winding is read wrong, and how: once at its resistance, or each time at its low-voltage ratio."""

    winding: str = ""
    instead: str = ""
    at_resistance: bool = False
    _seen: set[Connection] = field(default_factory=set)
    _slipped: bool = False

    @classmethod
    def from_faults(cls, job: Job, faults: tuple[Fault, ...], seed: int) -> Mistakes:
        """The mistakes that reading_wrong asks for, settled by seed; none without that fault."""
        fault = next((fault for fault in faults if fault.name is FaultName.READING_WRONG), None)
        others = [winding.name for winding in job.winding]
        if fault is None or len(others) < 2:
            return cls()
        rng = stream(seed, "reading wrong")
        secondaries = [winding.name for winding in job.secondaries]
        winding = fault.places[0].name if fault.places else str(rng.choice(secondaries or others))
        turns = {w.name: w.turns or 1 for w in job.winding}
        others.remove(winding)
        # Two windings much alike would hide the mistake: the hand takes one that differs.
        unlike = [name for name in others if abs(turns[name] / turns[winding] - 1) > 0.3] or others
        return cls(winding, str(rng.choice(unlike)), bool(rng.random() < 0.5))

    def true_connection(self, asked: Connection, excitation: Excitation | None) -> Connection:
        """Where the leads truly go when a connection is asked for."""
        if not self.winding or not self._is_whole(asked):
            return asked
        if self.at_resistance and asked.quantity in _OHMS:
            first = asked not in self._seen
            self._seen.add(asked)
            return self._elsewhere(asked) if first else asked
        low = excitation is not None and excitation.source is Source.LOW_VOLTAGE
        fed = excitation is not None and excitation.begin.startswith(f"{self.winding}.")
        if not self.at_resistance and asked.quantity is Quantity.VOLTAGE_AC and low and not fed:
            return self._elsewhere(asked)
        return asked

    def slip(self, asked: Connection) -> float:
        """Factor of a misplaced decimal point, at the first typed reading of the winding."""
        if not self.winding or self._slipped or not self._is_whole(asked):
            return 1.0
        self._slipped = True
        return 0.1

    def _is_whole(self, asked: Connection) -> bool:
        return all(end.split(".")[0] == self.winding for end in (asked.begin, asked.end))

    def _elsewhere(self, asked: Connection) -> Connection:
        return replace(asked, begin=f"{self.instead}.start", end=f"{self.instead}.finish")
