"""A meter: a link and a dialect that together give readings, or say why not."""

from __future__ import annotations

import contextlib
import logging
import time
from collections.abc import Callable
from datetime import UTC, datetime
from types import TracebackType
from typing import Self

from drivers.answer_shape import classify_reading
from drivers.error_queue import ErrorQueue
from drivers.errors import DriverError, MeterError, OutOfStep, Unreadable, Unsupported
from drivers.measuring import Measured, Measurement, measure
from drivers.meter_conversation import MeterConversation
from drivers.meter_deadline import longest_queue_s, longest_reading_s, longest_selection_s
from drivers.meter_doubt import reading_doubt
from drivers.meter_line import Line, MeterLine
from drivers.meter_profile import MeterFunction, MeterProfile, MeterRange
from drivers.meter_state import MeterState
from drivers.reading import Component, Quantity, Reading, State
from drivers.scpi import (
    Answer,
    Damaged,
    DeviceError,
    ErrorText,
    Overload,
    Value,
    explained,
    unreadable,
)

__all__ = ["Meter"]

_log = logging.getLogger(__name__)
_ROUNDING = 1.02  # a value so near full scale that the smaller range might not hold it


def _utcnow() -> datetime:
    return datetime.now(UTC)


class Meter:
    """Select a quantity, then read it; whatever goes wrong, no number comes that was not asked for.

    One owner at a time. Opens its link and closes it, and leaves the meter in local mode on every way out.
    lead_resistance: of the two leads together, ohm, subtracted from two-wire resistances; u_lead: its
    standard uncertainty, ohm; without it the profile's bound on the leads is taken as a rectangular limit.
    frequency: of the supply, Hz, where the accuracy of alternating quantities depends on it.
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
        frequency: float = 50.0,
    ) -> None:
        self.profile = profile
        self.address = address
        self._link = link
        self._clock = clock
        self._utcnow = utcnow
        self._sleep = sleep
        self._lead_resistance = lead_resistance
        self._u_lead = u_lead
        self._frequency = frequency
        self._line = MeterLine(link, profile, address, clock=clock, sleep=sleep)
        self._errors = ErrorQueue(self._line, profile, address, clock)
        self._conversation = MeterConversation(link, self._line, self._errors, profile, address, clock, self._set_again)
        self._selected: tuple[MeterFunction, MeterRange] | None = None
        self._follow = False
        self._fresh = True
        self._readings = 0

    @property
    def identity(self) -> str | None:
        """What the meter answered to its identity query, once open."""
        return self._conversation.identity

    @property
    def state(self) -> MeterState:
        """How it stands with the meter now."""
        return self._conversation.state

    def longest_read_s(self, samples: int = 1) -> float:
        """After so long at the latest `read` has given a reading or raised, s; follows from the profile's deadlines.

        One query takes at most `response_s`; getting in step again at most `resync_s`; finding a lost line at
        most `reopen_s` and its write and connect time-outs. Raises Unsupported where nothing was selected.
        """
        function = self._function
        longest = longest_reading_s(self.profile, function, samples)
        ranges = len(function.ranges) if self._follow else 0
        return longest + ranges * (longest + longest_selection_s(self.profile, function))

    def open(self) -> None:
        """Open the line, get in step, check the identity, take remote control, clear old settings.

        Takes at most `resync_s` after the line has opened. Raises PortMissing, PortDenied, PortBusy (also where a
        network connection stays silent), NoAnswer, Unreadable, OutOfStep or MeterError.
        """
        self._link.open()
        try:
            self._conversation.get_in_step()
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Give the meter back to its panel and close the line; never raises."""
        with contextlib.suppress(DriverError):
            for command in self.profile.leave:
                self._line.say(command)  # also on a line that is out of step
        self._link.close()
        self._selected = None
        self._conversation.state = MeterState.CLOSED

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
        wanted = function.range_for(expected)
        for each in function.ranges if function.ranges_itself or expected is None else (wanted,):
            each.accuracy_at(self._frequency)
        self._follow = False
        self._select(function, wanted)
        self._follow = expected is None

    def read(self, samples: int = 1) -> Reading:
        """One settled reading, the mean of `samples`; over range is a state of it, never a number.

        After a lost line it is opened anew, set up and read again, once. After any other trouble the meter is
        brought in step and the trouble raised; the next reading goes on from there. Takes at most
        `longest_read_s`. Raises Unsupported where nothing was selected; NoAnswer, OutOfStep, Unreadable,
        MeterError, LinkLost.
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
    def frequency(self) -> float:
        """Of the supply, Hz: what the accuracy of alternating quantities is taken at."""
        return self._frequency

    @property
    def selected(self) -> MeterRange | None:
        """The range that is set, None before a selection."""
        return None if self._selected is None else self._selected[1]

    def glance(self) -> Reading:
        """One answer as it comes, whether it has settled or not: to watch, not to keep. Raises as `read` does."""
        within_s = longest_reading_s(self.profile, self._function, 1)
        return self._conversation.run(lambda: self._reading(self._look()), within_s)

    def check_errors(self) -> tuple[DeviceError, ...]:
        """Empty the meter's error queue, bounded by the profile; what was in it, oldest first."""
        return self._conversation.run(self._errors.take_all, longest_queue_s(self.profile))

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
            there = self._selected
            same = there == (function, wanted) or (there and function.ranges_itself and there[0] == function)
            if same and function.verify and self._confirms():
                return
            self._selected = (function, wanted)
            if not function.verify and function.commands(wanted):
                self._errors.take_new()  # what was queued before is not this command's
            self._apply_selection()

        before = self._selected
        try:
            self._conversation.run(apply, longest_selection_s(self.profile, function))
        except MeterError:
            # what was asked for is not there; a range tried by itself leaves the one that was
            self._selected = before if self._follow else None
            self._conversation.state = MeterState.OUT_OF_STEP
            raise

    def _apply_selection(self) -> None:
        function, wanted = self._selection
        self._fresh = True
        commands = function.commands(wanted)
        for command in commands:
            self._line.command(command)
        if commands:
            self._line.complete()
        sent = "; ".join(commands)
        if function.verify:
            # asked once more: one damaged letter in the answer is no refusal
            if not self._confirms() and not self._confirms():
                said = explained(self._errors.take_new())
                raise MeterError(f"{self.address}: {sent} did not take, the meter says: {said}")
            return
        errors = self._errors.take_new() if commands else ()
        if errors:
            raise MeterError(f"{self.address}: {sent} was refused: {explained(errors)}")

    def _set_again(self) -> None:
        if self._selected is not None:
            self._apply_selection()

    def _confirms(self) -> bool:
        """Whether the meter says that it is in the selected function and range."""
        function, wanted = self._selection
        for check in function.verify:
            answer = self._line.query(check.query, self.profile.timing.response_s)
            trouble = unreadable(answer)
            if trouble is not None:
                raise Unreadable(f"{self.address}: {check.query}: {trouble}")
            if not check.confirms(answer.decode("ascii").strip(), wanted):
                return False
        return True

    def _better_range(self, reading: Reading) -> MeterRange | None:
        function, here = self._selection
        if function.ranges_itself:
            return None
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
        function = self._function
        within_s = longest_reading_s(self.profile, function, samples)
        return self._conversation.run(lambda: self._reading(self._measure_confirmed(samples)), within_s)

    def _measure_confirmed(self, samples: int) -> Measured:
        found = self._measure(samples)
        if not self._function.verify:
            # an answer of another kind behind the readings shows whether one of them was another query's
            for complaint in self._errors.take_new():
                _log.warning("%s: %s was queued while it measured", self.address, complaint)
            return found
        if self._confirms():
            return found
        # a meter that started anew in the middle is back in its own function and range
        _log.warning("%s: function or range changed by itself; setting it again", self.address)
        self._conversation.get_in_step()
        found = self._measure(samples)
        if not self._confirms():
            raise MeterError(f"{self.address}: the meter does not stay in the selected function and range")
        return found

    def _measure(self, samples: int) -> Measured:
        function, here = self._selection
        self._freshen()
        found = measure(self._one, here, samples)
        if function.ranges_itself and found.value is not None:
            chosen = function.range_of(found.value)
            if chosen != here:  # what is steady depends on the range, and the meter has chosen another
                found = measure(self._one, chosen, samples)
                chosen = chosen if found.value is None else function.range_of(found.value)
                self._selected = (function, chosen)
        return found

    def _look(self) -> Measured:
        function, here = self._selection
        self._freshen()
        seen = self._one()
        match seen.answer:
            case Value(value):
                if function.ranges_itself:
                    here = function.range_of(value)
                    self._selected = (function, here)
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
        function, here = self._selection
        if function.refresh_s:
            self._sleep(function.refresh_s)
        if function.arm is not None:
            self._line.command(here.fill(function.arm))
        read = here.fill(function.read)
        line = self._line.query(read, function.response_s or self.profile.timing.response_s)
        answer: Answer = classify_reading(line, self.profile.forms, self.profile.shape, function.units)
        match answer:
            case ErrorText(code, text):
                said = explained((DeviceError(code, text),))
                self._conversation.state = MeterState.OUT_OF_STEP  # it may be the answer to another query
                raise MeterError(f"{self.address}: {read} was answered with the error {said}")
            case Damaged(reason, frame):
                kind = Unreadable if frame else OutOfStep
                raise kind(f"{self.address}: {read}: {reason}")
            case Value(value):
                strange = function.beyond(value)
                if strange is not None:
                    raise OutOfStep(f"{self.address}: {read}: {strange}")
        return Measurement(answer, line.decode("ascii").strip())

    def _reading(self, found: Measured) -> Reading:
        function, here = self._selection
        self._readings += 1
        at = self._utcnow()
        components: tuple[Component, ...] = ()
        value = found.value
        if value is not None:
            tag = f"{at.isoformat()}#{self._readings}"
            components = reading_doubt(
                value, found.noise, function, here, self.address, tag, self._u_lead, self._frequency
            )
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
