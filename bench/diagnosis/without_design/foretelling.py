"""What a candidate foretells for each reading of a unit without a design, with what a unit that is so leaves open."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bench.diagnosis.prediction import Predicted
from bench.diagnosis.without_design import spreads
from bench.diagnosis.without_design.candidates import Candidate
from bench.diagnosis.without_design.core_change import (
    U_LOG_POWER_FACTOR,
    USUAL_LOSS_SLOPE,
    USUAL_POWER_FACTOR,
    USUAL_SLOPE,
    AsItWas,
    Change,
    loss_slope,
    taken,
)
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.readings import Read, What
from bench.diagnosis.without_design.sections import breaks, explained
from bench.diagnosis.without_design.usual import fed_ohms_by_power

__all__ = ["Copper", "Foreteller", "coppers"]

Array = NDArray[np.float64]

# An open winding shows a meter of many megohms whatever its neighbours' capacitance brings, as a share of its own.
_U_OPEN = 1.0
# A winding that takes current is not open: whatever it takes is as unlikely as two readings that can't be.
_U_OPEN_TAKES, _OPEN_TAKES = 100.0, 2
# Of watts as found, what the fed winding's copper may have taken where neither its ohms nor the power are known, each
# alike; common practice, no source.
_COPPER_SHARES = (0.0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4)
_STEP = 1e-4
# Of volts on the fed winding that were others: about each of the values that are weighed, and where one is for all.
_FED_OFF, _FED_ANYTHING = 0.03, 0.7


@dataclass(frozen=True)
class Copper:
    """Ohms of the fed winding as found and now [ohm], how probable they are, and whether somebody read them."""

    before: float
    after: float
    weight: float
    read: bool

    @property
    def pair(self) -> tuple[float, float]:
        return self.before, self.after


def coppers(known: Known, compared: Compared) -> tuple[Copper, ...]:
    """The ohms that were read, now or as found; else those that a winding of its power, or of its watts, may have."""
    fed = known.ohms.get(known.shown.fed)
    if compared.fed_ohms is not None or fed is not None:
        after = compared.fed_ohms if compared.fed_ohms is not None else fed.ohms if fed is not None else 0.0
        return (Copper(after if fed is None else fed.ohms, after, 1.0, True),)
    with_watts = [one for one in compared.was.values() if one.watts is not None]
    if not with_watts or not compared.has(What.WATTS):
        return (Copper(0.0, 0.0, 1.0, False),)
    most = max(with_watts, key=lambda one: one.volts)
    assert most.watts is not None
    if known.shown.power is not None:
        ohms, u_log = fed_ohms_by_power(known.shown.power, most.volts)
        steps = (-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5)
        weights = [math.exp(-0.5 * step**2) for step in steps]
        guesses = [ohms * math.exp(u_log * step) for step in steps]
        return tuple(
            Copper(one, one, weight / sum(weights), False) for one, weight in zip(guesses, weights, strict=True)
        )
    guesses = [share * most.watts / most.current**2 for share in _COPPER_SHARES]
    return tuple(Copper(one, one, 1 / len(guesses), False) for one in guesses)


@dataclass(frozen=True)
class _Doubt:
    """One cause, moved by its standard uncertainty: everything that currents and watts follow from."""

    reactive: float = 0.0
    loss: float = 0.0
    found_amps: float = 0.0
    found_watts: float = 0.0
    power_factor: float = 0.0
    copper: float = 0.0


_DOUBTS = (
    _Doubt(reactive=spreads.U_RESTACKED_REACTIVE),
    _Doubt(loss=spreads.U_RESTACKED_LOSS),
    _Doubt(found_amps=spreads.U_FOUND_AMPS),
    _Doubt(found_watts=spreads.U_FOUND_WATTS),
    _Doubt(power_factor=U_LOG_POWER_FACTOR),
    _Doubt(copper=spreads.U_WARM),
)


class Foreteller:
    """For one set of readings and one unit."""

    def __init__(self, known: Known, compared: Compared) -> None:
        self._known, self._compared = known, compared
        self._rows = compared.rows
        self._reference = max(compared.was.values(), key=lambda one: one.volts) if compared.was else None

    @property
    def names(self) -> tuple[str, ...]:
        """Of all windings and sections."""
        return self._known.names

    @property
    def reference(self) -> AsItWas | None:
        """The core as found at the highest volts compared, where gaps and loops are stated."""
        return self._reference

    def foretell(self, one: Candidate, copper: Copper) -> Predicted:
        """Values and covariance of all rows, in the terms of the evidence."""
        values, causes, own = np.zeros(len(self._rows)), list(self._common()), np.zeros(len(self._rows))
        impossible = 0
        changes = [self._change(one, read) for read in self._rows]
        for row, (read, change) in enumerate(zip(self._rows, changes, strict=True)):
            match read.what:
                case What.OHMS:
                    known = self._known.ohms[read.winding]
                    values[row] = math.log(known.ohms) + one.change.ohms.get(read.winding, 0.0)
                    spread = one.ohms_spread if read.winding in one.change.ohms else 0.0
                    own[row] = math.hypot(known.u_log, spreads.U_OHMS, spread)
                case What.VOLTS:
                    ratio = self._known.ratios[read.winding]
                    values[row] = math.log(ratio.ratio) + (one.fed_off if read.fed == one.fed_read else 0.0)
                    own[row] = math.hypot(ratio.u_log, spreads.U_RATIO)
                    if any(explained(one.change.opened, name) for name in (read.winding, self._known.shown.fed)):
                        values[row], own[row] = self._compared.evidence.values[row], _U_OPEN
                case What.AMPS | What.WATTS:
                    values[row] = self._taken(read, change, copper, _Doubt())
                    own[row] = self._own(read)
                    if breaks(one.change.opened, read.winding):
                        values[row], own[row] = self._compared.evidence.values[row], _U_OPEN_TAKES
                        impossible += _OPEN_TAKES
        pairs = list(zip(self._rows, changes, strict=True))
        as_foretold = np.array([self._taken(read, change, copper, _Doubt()) for read, change in pairs])
        for doubt in _DOUBTS:
            moved = [self._taken(read, change, copper, doubt) for read, change in pairs]
            causes.append(np.array(moved) - as_foretold)
        if one.fed_read:
            further = replace(one, fed_off=one.fed_off + _STEP)
            pattern = [
                float(read.what is What.VOLTS and read.fed == one.fed_read)
                + (self._taken(read, self._change(further, read), copper, _Doubt()) - here) / _STEP
                for read, here in zip(self._rows, as_foretold, strict=True)
            ]
            causes.append((_FED_OFF if self._compared.was.get(one.fed_read) else _FED_ANYTHING) * np.array(pattern))
        if one.change.loop:
            larger = replace(one.change, loop=one.change.loop * math.exp(_STEP))
            moved = [self._taken(read, larger, copper, _Doubt()) for read in self._rows]
            # Even between two sizes: u of the logarithm is the step's over the root of 12.
            between = math.log(one.loop_step) / math.sqrt(12)
            causes.append(between * (np.array(moved) - as_foretold) / _STEP)
        if one.turns:
            causes.append(spreads.U_TURNS_WRONG * self.turns_pattern(one, copper))
        stacked = np.array(causes).reshape(len(causes), len(self._rows))
        return Predicted(values, np.asarray(stacked.T @ stacked + np.diag(own**2)), impossible)

    def _change(self, one: Candidate, read: Read) -> Change:
        """The candidate's change, as it shows where the volts on the fed winding were others than were written."""
        if not one.fed_off or read.fed != one.fed_read:
            return one.change
        loss = loss_slope(one.slope) * one.fed_off
        return replace(one.change, reactive=one.change.reactive + one.slope * one.fed_off, loss=one.change.loss + loss)

    def turns_pattern(self, one: Candidate, copper: Copper) -> Array:
        """What every row moves by, per share of turns added to the winding of the candidate.

        More turns on the fed winding: less flux for the same volts, and less current for the same ampere turns.
        """
        fed = self._known.shown.fed
        pattern = np.zeros(len(self._rows))
        for row, read in enumerate(self._rows):
            match read.what:
                case What.OHMS:
                    pattern[row] = 1.0 if read.winding == one.turns else 0.0
                case What.VOLTS:
                    pattern[row] = -1.0 if one.turns == fed else float(read.winding == one.turns)
                case What.AMPS | What.WATTS if one.turns == fed:
                    moved = Change(reactive=-(one.slope + 1) * _STEP, loss=-loss_slope(one.slope) * _STEP)
                    here = self._taken(read, moved, copper, _Doubt())
                    pattern[row] = (here - self._taken(read, Change(), copper, _Doubt())) / _STEP
        return pattern

    def _common(self) -> tuple[Array, ...]:
        """Causes that several ohms, or several volts, have in common."""
        warm = self._pattern(lambda read: spreads.U_WARM if read.what is What.OHMS else 0.0)
        plate = self._pattern(
            lambda read: self._known.ratios[read.winding].u_log_common if read.what is What.VOLTS else 0.0
        )
        return warm, plate

    def _pattern(self, of: Callable[[Read], float]) -> Array:
        return np.array([of(read) for read in self._rows])

    def _own(self, read: Read) -> float:
        was = self._compared.was[read.fed]
        if read.what is What.AMPS:
            return math.hypot(spreads.U_AMPS, was.u_log_current, USUAL_SLOPE * read.u_log_fed)
        return math.hypot(spreads.U_WATTS, was.u_log_watts, USUAL_LOSS_SLOPE * read.u_log_fed)

    def _taken(self, read: Read, change: Change, copper: Copper, doubt: _Doubt) -> float:
        """ln of the current or the watts of a row; 0 for a row of anything else."""
        if read.what not in (What.AMPS, What.WATTS):
            return 0.0
        assert self._reference is not None
        was, reference = (self._moved(one, doubt) for one in (self._compared.was[read.fed], self._reference))
        moved = replace(change, reactive=change.reactive + doubt.reactive, loss=change.loss + doubt.loss)
        warmer = math.exp(doubt.copper)
        found = taken(
            was,
            moved,
            reference,
            (copper.before * warmer, copper.after * warmer),
            USUAL_POWER_FACTOR * math.exp(doubt.power_factor),
        )
        return math.log(found.current if read.what is What.AMPS else found.watts)

    def _moved(self, was: AsItWas, doubt: _Doubt) -> AsItWas:
        watts = None if was.watts is None else was.watts * math.exp(doubt.found_watts)
        return replace(was, current=was.current * math.exp(doubt.found_amps), watts=watts)
