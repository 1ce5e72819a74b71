"""A conversation with one meter that stays in step: after any trouble it is brought back, or the trouble raised."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TypeVar

from drivers.error_queue import ErrorQueue, listed
from drivers.errors import DriverError, LinkLost, MeterError, NoAnswer, OutOfStep, UnaskedLine, Unreadable
from drivers.meter_deadline import longest_recovery_s
from drivers.meter_identity import identify
from drivers.meter_line import Line, MeterLine
from drivers.meter_profile import MeterProfile
from drivers.meter_state import MeterState
from drivers.scpi import DeviceError, explained

__all__ = ["MeterConversation"]

_log = logging.getLogger(__name__)
_T = TypeVar("_T")
_WEDGED_AFTER = 3


class MeterConversation:
    """Runs exchanges so that no answer is ever taken for another query's.

    set_again: puts the meter back into the function and range that were selected, where any were.
    """

    def __init__(
        self,
        link: Line,
        line: MeterLine,
        errors: ErrorQueue,
        profile: MeterProfile,
        address: str,
        clock: Callable[[], float],
        set_again: Callable[[], None],
    ) -> None:
        self._link = link
        self._line = line
        self._errors = errors
        self._profile = profile
        self._address = address
        self._clock = clock
        self._set_again = set_again
        self._failures = 0
        self.state = MeterState.CLOSED
        self.identity: str | None = None

    def run(self, action: Callable[[], _T], within_s: float) -> _T:
        """Run an exchange, in step; after any trouble get in step. Run it once more where the line was lost or where
        a line came unasked in between; else raise, so that the caller decides. Nothing is asked any more when so
        little of `within_s` is left that a recovery might not end in time."""
        if self.state is MeterState.CLOSED:
            raise LinkLost(f"{self._address}: the meter is not open")
        with self._line.all_within(within_s - longest_recovery_s(self._profile)):
            try:
                if self.state is not MeterState.IN_STEP:
                    self._recover()
                found = self._tried(action)
            except (NoAnswer, OutOfStep, Unreadable) as trouble:
                self._failures += 1
                if self._failures < _WEDGED_AFTER:
                    raise
                advice = f"not responding, {self._failures} times now: switch the meter off and on"
                raise type(trouble)(f"{trouble}; {advice}") from trouble
        self._failures = 0
        return found

    def get_in_step(self) -> tuple[DeviceError, ...]:
        """Drain, identity in full, remote, set-up, selection verified, all within `resync_s`; gives the errors that
        were queued since the queue was last empty."""
        self.state = MeterState.OUT_OF_STEP
        try:
            with self._line.all_within(self._profile.timing.resync_s):
                queued = self._set_up()
        except LinkLost:
            self.state = MeterState.DISCONNECTED
            raise
        self.state = MeterState.IN_STEP
        return queued

    def _tried(self, action: Callable[[], _T]) -> _T:
        try:
            return action()
        except LinkLost as lost:
            _log.warning("%s; looking for it", lost)
            self.state = MeterState.DISCONNECTED
            self._recover()
        except UnaskedLine as stray:
            _log.warning("%s; getting in step", stray)
            self._recover()
        except (NoAnswer, OutOfStep, Unreadable) as trouble:
            self.state = MeterState.OUT_OF_STEP
            raise self._explained(trouble) from trouble
        return self._once_more(action)

    def _once_more(self, action: Callable[[], _T]) -> _T:
        try:
            return action()
        except LinkLost:
            self.state = MeterState.DISCONNECTED
            raise
        except DriverError:
            self.state = MeterState.OUT_OF_STEP
            raise

    def _recover(self) -> tuple[DeviceError, ...]:
        """Get in step; where the line is away find it first. Gives the errors that were queued."""
        if self.state is not MeterState.DISCONNECTED:
            try:
                return self.get_in_step()
            except LinkLost as lost:
                _log.warning("%s; looking for it", lost)
        self._link.reopen(self._profile.timing.reopen_s)
        return self.get_in_step()

    def _explained(self, trouble: NoAnswer | OutOfStep | Unreadable) -> DriverError:
        """The same trouble, with what the meter's error queue says about it once back in step."""
        try:
            queued = self.get_in_step()
        except (NoAnswer, OutOfStep, Unreadable, MeterError, LinkLost) as worse:
            return type(trouble)(f"{trouble}; and then: {worse}")
        if not queued:
            return trouble
        return type(trouble)(f"{trouble}; the meter says: {explained(queued)}")

    def _set_up(self) -> tuple[DeviceError, ...]:
        identity = identify(self._line, self._profile, self._address, self._clock, self.identity)
        if self.identity is not None and not self._profile.same_meter(self.identity, identity):
            raise MeterError(
                f"{self._address}: another meter answers there now, {identity!r} in the place of {self.identity!r}"
            )
        self.identity = identity
        queued = self._errors.take_new()
        if queued:
            _log.warning("%s: errors were queued: %s", self._address, listed(queued))
        for command in (*self._profile.enter, *self._profile.setup):
            try:
                self._line.command(command)
            except MeterError as refused:
                _log.warning("%s", refused)
        if self._profile.setup:
            self._line.complete()
        for complaint in self._errors.take_new():
            _log.warning("%s: the set-up of the profile was answered with %s", self._address, complaint)
        self._set_again()
        return queued
