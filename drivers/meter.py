"""A meter: a link and a dialect that together give readings, or say why not."""

from __future__ import annotations

import contextlib
import logging
import math
import time
from collections.abc import Callable
from datetime import UTC, datetime
from types import TracebackType
from typing import Self, TypeVar

from drivers.errors import DriverError, LinkLost, MeterError, NoAnswer, OutOfStep, UnaskedLine, Unreadable, Unsupported
from drivers.measuring import Measured, Measurement, measure
from drivers.meter_doubt import reading_doubt
from drivers.meter_identity import identify
from drivers.meter_line import Line, MeterLine
from drivers.meter_profile import MeterFunction, MeterProfile, MeterRange
from drivers.reading import Component, Quantity, Reading, State
from drivers.scpi import (
    Answer,
    Damaged,
    DeviceError,
    ErrorText,
    Overload,
    Value,
    build_command,
    classify,
    explained,
    parse_error,
    parse_number,
    unreadable,
)

__all__ = ["Meter"]

_log = logging.getLogger(__name__)
_T = TypeVar("_T")
_WEDGED_AFTER = 3
_SAME_RANGE = 1e-3
_ROUNDING = 1.02  # a value so near full scale that the smaller range might not hold it


def _utcnow() -> datetime:
    return datetime.now(UTC)


class Meter:
    """Select a quantity, then read it; whatever goes wrong, no number comes that was not asked for.

    One owner at a time. Opens its link and closes it, and leaves the meter in local mode on every way out.
    lead_resistance: of the two leads together, ohm, subtracted from two-wire resistances; u_lead: its
    standard uncertainty, ohm; without it the profile's bound on the leads is taken as a rectangular limit.
    """

    def __init__(
        self,
        link: Line,
        profile: MeterProfile,
        address: str,
        *,
        clock: Callable[[], float] = time.monotonic,
        utcnow: Callable[[], datetime] = _utcnow,
        sleep: Callable[[float], None] = time.sleep,
        lead_resistance: float = 0.0,
        u_lead: float | None = None,
    ) -> None:
        self.profile = profile
        self.address = address
        self._link = link
        self._clock = clock
        self._utcnow = utcnow
        self._sleep = sleep
        self._lead_resistance = lead_resistance
        self._u_lead = u_lead
        self._line = MeterLine(link, profile, address, clock=clock, sleep=sleep)
        self._identity: str | None = None
        self._selected: tuple[MeterFunction, MeterRange] | None = None
        self._follow = False
        self._fresh = True
        self._stale = False
        self._failed_resyncs = 0
        self._readings = 0

    @property
    def identity(self) -> str | None:
        """What the meter answered to its identity query, once open."""
        return self._identity

    def open(self) -> None:
        """Open the line, get in step, check the identity, take remote control, clear old settings.

        Raises PortMissing, PortDenied, PortBusy, NoAnswer, Unreadable, OutOfStep or MeterError.
        """
        self._link.open()
        try:
            self._get_in_step()
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Give the meter back to its panel and close the line; never raises."""
        with contextlib.suppress(DriverError):
            for command in self.profile.leave:
                self._line.command(command)
        self._link.close()
        self._selected = None

    def supports(self, quantity: Quantity) -> bool:
        return quantity in self.profile.functions

    def select(self, quantity: Quantity, expected: float | None = None) -> None:
        """Set function and range for a value of about `expected` (SI), and have the meter confirm it.

        Without `expected` readings start on the largest range and follow the value. Raises Unsupported
        before anything is sent; MeterError, NoAnswer, OutOfStep, Unreadable, LinkLost.
        """
        function = self.profile.functions.get(quantity)
        if function is None:
            offered = ", ".join(self.profile.functions)
            raise Unsupported(f"{self.address}: the profile {self.profile.name} has no {quantity}; it has {offered}")
        self._select(function, function.range_for(expected))
        self._follow = expected is None

    def read(self, samples: int = 1) -> Reading:
        """One settled reading, the mean of `samples`; over range is a state of it, never a number.

        After a lost line it is opened anew, set up and read again, once. Raises Unsupported where
        nothing was selected; NoAnswer, OutOfStep, Unreadable, MeterError, LinkLost.
        """
        if samples < 1:
            raise ValueError(f"samples is {samples}, expected 1 or more")
        reading = self._read_here(samples)
        if self._follow:
            for _ in self._function.ranges:
                better = self._better_range(reading)
                if better is None:
                    break
                self._select(self._function, better)
                reading = self._read_here(samples)
        return reading

    @property
    def selected(self) -> MeterRange | None:
        """The range that is set, None before a selection."""
        return None if self._selected is None else self._selected[1]

    def glance(self) -> Reading:
        """One answer as it comes, whether it has settled or not: to watch, not to keep. Raises as `read` does."""
        return self._guarded(lambda: self._reading(self._look()))

    def check_errors(self) -> tuple[DeviceError, ...]:
        """Empty the meter's error queue, bounded by the profile; what was in it, oldest first."""
        return self._guarded(self._errors)

    def __enter__(self) -> Self:
        self.open()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def _function(self) -> MeterFunction:
        return self._selection[0]

    @property
    def _selection(self) -> tuple[MeterFunction, MeterRange]:
        if self._selected is None:
            raise Unsupported(f"{self.address}: nothing is selected yet, select a quantity before reading")
        return self._selected

    # -- selection ---------------------------------------------------------------------------------

    def _select(self, function: MeterFunction, wanted: MeterRange) -> None:
        def apply() -> None:
            if self._selected == (function, wanted) and function.verify and self._confirms():
                return
            self._selected = (function, wanted)
            self._apply_selection()

        self._guarded(apply)

    def _apply_selection(self) -> None:
        function, wanted = self._selection
        self._fresh = True
        command = build_command(function.select, wanted.full_scale)
        self._line.command(command)
        if function.verify is not None:
            if not self._confirms():
                said = explained(self._errors())
                self._selected = None
                raise MeterError(f"{self.address}: {command} did not take, the meter says: {said}")
            return
        errors = self._errors()
        if errors:
            self._selected = None
            raise MeterError(f"{self.address}: {command} was refused: {explained(errors)}")

    def _confirms(self) -> bool:
        """Whether the meter says that it is in the selected function and range."""
        function, wanted = self._selection
        if function.verify is None or function.verified is None:
            return True
        answer = self._line.query(function.verify, self.profile.timing.response_s)
        trouble = unreadable(answer)
        if trouble is not None:
            raise Unreadable(f"{self.address}: {function.verify}: {trouble}")
        match = function.verified.fullmatch(answer.decode("ascii").strip())
        if match is None:
            return False
        if "range" not in function.verified.groupindex:
            return True
        said = parse_number(match["range"] or "")
        return said is not None and math.isclose(said, wanted.full_scale, rel_tol=_SAME_RANGE)

    def _better_range(self, reading: Reading) -> MeterRange | None:
        function, here = self._selection
        if reading.state is State.OVERLOAD:
            larger = [each for each in function.ranges if each.full_scale > here.full_scale]
            return larger[0] if larger else None
        if reading.value is None:
            return None
        leads = self._lead_resistance if function.quantity is Quantity.RESISTANCE else 0.0
        raw = reading.value + leads
        fitting = function.range_for(min(abs(raw) * _ROUNDING, function.ranges[-1].full_scale))
        return fitting if fitting.full_scale < here.full_scale else None

    # -- reading -----------------------------------------------------------------------------------

    def _read_here(self, samples: int) -> Reading:
        return self._guarded(lambda: self._reading(self._measure_confirmed(samples)))

    def _measure_confirmed(self, samples: int) -> Measured:
        found = self._measure(samples)
        if self._confirms():
            return found
        # a meter that started anew in the middle is back in its own function and range
        _log.warning("%s: function or range changed by itself; setting it again", self.address)
        self._get_in_step()
        found = self._measure(samples)
        if not self._confirms():
            raise MeterError(f"{self.address}: the meter does not stay in the selected function and range")
        return found

    def _measure(self, samples: int) -> Measured:
        _, here = self._selection
        self._freshen()
        return measure(self._one, here, samples)

    def _look(self) -> Measured:
        _, here = self._selection
        self._freshen()
        seen = self._one()
        match seen.answer:
            case Value(value):
                return Measured(State.GOOD, value, here.noise, seen.raw)
            case Overload():
                return Measured(State.OVERLOAD, None, 0.0, seen.raw)
        return Measured(State.NO_VALUE, None, 0.0, seen.raw)

    def _freshen(self) -> None:
        """The first readings after a selection are the filter's, not the signal's."""
        function, _ = self._selection
        if self._fresh:
            self._sleep(function.settle_s)
            for _ in range(function.discard):
                self._one()
            self._fresh = False

    def _one(self) -> Measurement:
        """One triggered answer, as a number or a state; raises for anything else."""
        read = self._function.read
        line = self._line.query(read, self.profile.timing.response_s)
        answer: Answer = classify(line, self.profile.forms)
        match answer:
            case ErrorText(code, text):
                said = explained((DeviceError(code, text),))
                raise MeterError(f"{self.address}: {read} was answered with the error {said}")
            case Damaged(reason, frame):
                kind = Unreadable if frame else OutOfStep
                raise kind(f"{self.address}: {read}: {reason}")
        return Measurement(answer, line.decode("ascii").strip())

    def _reading(self, found: Measured) -> Reading:
        function, here = self._selection
        self._readings += 1
        at = self._utcnow()
        components: tuple[Component, ...] = ()
        value = found.value
        if value is not None:
            tag = f"{at.isoformat()}#{self._readings}"
            components = reading_doubt(value, found.noise, function, here, self.address, tag, self._u_lead)
            if function.quantity is Quantity.RESISTANCE:
                value -= self._lead_resistance
        return Reading(
            quantity=function.quantity,
            value=value,
            state=found.state,
            instrument=self.address,
            at=at,
            monotonic=self._clock(),
            raw=found.raw,
            components=components,
            span=here.full_scale,
        )

    # -- staying in step ---------------------------------------------------------------------------

    def _guarded(self, action: Callable[[], _T]) -> _T:
        """Run an exchange; after any trouble get in step. Run it once more where the line was lost or where
        a late line came in between; else raise, so that the caller decides."""
        if self._stale:
            self._get_in_step()
        try:
            return action()
        except LinkLost as lost:
            _log.warning("%s; looking for it", lost)
            self._stale = True
            self._link.reopen(self.profile.timing.reopen_s)
            self._get_in_step()
            return self._once_more(action)
        except UnaskedLine as stray:
            _log.warning("%s; getting in step", stray)
            self._get_in_step()
            return self._once_more(action)
        except (NoAnswer, OutOfStep, Unreadable) as trouble:
            self._stale = True
            raise self._explained(trouble) from trouble

    def _once_more(self, action: Callable[[], _T]) -> _T:
        try:
            return action()
        except DriverError:
            self._stale = True
            raise

    def _explained(self, trouble: NoAnswer | OutOfStep | Unreadable) -> DriverError:
        """The same trouble, with what the meter's error queue says about it once back in step."""
        try:
            queued = self._get_in_step()
        except (NoAnswer, OutOfStep, Unreadable, MeterError, LinkLost) as worse:
            return type(trouble)(f"{trouble}; and then: {worse}")
        if not queued:
            return trouble
        return type(trouble)(f"{trouble}; the meter says: {explained(queued)}")

    def _get_in_step(self) -> tuple[DeviceError, ...]:
        """Drain, identity in full, remote, set-up, selection verified; gives the errors that were queued."""
        self._stale = True
        try:
            identity = identify(self._line, self.profile, self.address, self._clock)
        except DriverError as error:
            self._failed_resyncs += 1
            if self._identity is not None and self._failed_resyncs >= _WEDGED_AFTER:
                raise NoAnswer(f"{error}; not responding: switch the meter off and on") from error
            raise
        if self._identity not in (None, identity):
            raise MeterError(
                f"{self.address}: another meter answers there now, {identity!r} in the place of {self._identity!r}"
            )
        self._identity = identity
        queued = self._errors()
        if queued:
            _log.warning("%s: errors were queued: %s", self.address, "; ".join(map(str, queued)))
        for command in (*self.profile.enter, *self.profile.setup):
            self._line.command(command)
        for complaint in self._errors():
            _log.warning("%s: the set-up of the profile was answered with %s", self.address, complaint)
        if self._selected is not None:
            self._apply_selection()
        self._stale = False
        self._failed_resyncs = 0
        return queued

    def _errors(self) -> tuple[DeviceError, ...]:
        query = self.profile.error_query
        found: list[DeviceError] = []
        while query is not None and len(found) < self.profile.errors_most:
            line = self._line.query(query, self.profile.timing.response_s)
            error = parse_error(line)
            if error is None:
                raise OutOfStep(f"{self.address}: {query} was answered {line[:60]!r}, expected a code and a text")
            if error.code == 0:
                break
            found.append(error)
        return tuple(found)
