"""Empties a meter's error queue, which may never become empty, and knows which errors are old."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from itertools import groupby

from drivers.errors import OutOfStep
from drivers.meter_line import MeterLine
from drivers.meter_profile import MeterProfile
from drivers.scpi import DeviceError, parse_error

__all__ = ["ErrorQueue", "listed"]

_log = logging.getLogger(__name__)


class ErrorQueue:
    """Asks the error query of a profile; where it has none the queue is always empty."""

    def __init__(self, line: MeterLine, profile: MeterProfile, name: str, clock: Callable[[], float]) -> None:
        self._line = line
        self._profile = profile
        self._name = name
        self._clock = clock
        self._was_empty = False

    def take_all(self) -> tuple[DeviceError, ...]:
        """What is queued, oldest first, at most as many as the profile allows and for `response_s` and one answer.

        Raises NoAnswer, Unreadable, OutOfStep, LinkLost.
        """
        query, response_s = self._profile.error_query, self._profile.timing.response_s
        give_up = self._clock() + response_s
        found: list[DeviceError] = []
        self._was_empty = query is None
        while query is not None and len(found) < self._profile.errors_most:
            line = self._line.query(query, response_s)
            error = parse_error(line, self._profile.error_form)
            if error is None:
                raise OutOfStep(f"{self._name}: {query} was answered {line[:60]!r}, expected a code and a text")
            if error.code == 0:
                self._was_empty = True
                break
            found.append(error)
            if self._clock() >= give_up:
                break
        return tuple(found)

    def take_new(self) -> tuple[DeviceError, ...]:
        """What was queued since the queue was last seen empty: it belongs to what was done since then.

        Nothing where the queue was never empty: its errors are old, nobody can say what caused them. They are logged.
        """
        attributable = self._was_empty
        found = self.take_all()
        if found and not attributable:
            _log.warning("%s: old errors were queued: %s", self._name, listed(found))
            return ()
        return found


def listed(errors: Iterable[DeviceError]) -> str:
    """The errors in one line; the same many times over is said once."""
    counted = ((error, len(tuple(same))) for error, same in groupby(errors))
    return "; ".join(str(error) if many == 1 else f"{error} ({many} times)" for error, many in counted)
