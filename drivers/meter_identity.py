"""Gets back in step with a meter whose line may hold anything: until its identity answers in full."""

from __future__ import annotations

import logging
from collections.abc import Callable

from drivers.errors import MeterError, NoAnswer, OutOfStep, Unreadable
from drivers.meter_line import MeterLine
from drivers.meter_profile import MeterProfile
from drivers.scpi import unreadable

__all__ = ["identify"]

_log = logging.getLogger(__name__)
_TRIES = 3


def identify(line: MeterLine, profile: MeterProfile, name: str, clock: Callable[[], float]) -> str:
    """The identity that matches the profile in full; where the dialect has none, that its probe is answered.

    A bare terminator ends what an earlier program left half said; then the line is drained. Bounded by
    the profile's `resync_s`. Raises NoAnswer, Unreadable or OutOfStep that say what was tried, MeterError where the
    meter refuses to answer, LinkLost.
    """
    give_up = clock() + profile.timing.resync_s
    tried = 0
    trouble: NoAnswer | OutOfStep | Unreadable | MeterError | None = None
    while tried < _TRIES and (not tried or clock() < give_up):
        tried += 1
        try:
            line.send_raw(profile.device_clear + profile.terminator_sent)
            line.drain(profile.timing.late_s)
            answer = line.query(profile.identity_query, profile.timing.identity_s)
        except (NoAnswer, OutOfStep, Unreadable, MeterError) as error:
            trouble = error
            continue
        unclear = unreadable(answer)
        if unclear is not None:
            trouble = Unreadable(f"{name}: {profile.identity_query}: {unclear}")
            continue
        text = answer.decode("ascii").strip()
        if profile.identity_pattern.fullmatch(text):
            line.drain(profile.timing.late_s)  # an earlier try may be answered late
            return profile.identity_of(text)
        _log.info("%s: %r is no identity", name, text)
        trouble = OutOfStep(f"{name}: {profile.identity_query} was answered {text[:60]!r}, which is no identity")
    raise _with_advice(trouble, profile, name, tried)


def _with_advice(
    trouble: NoAnswer | OutOfStep | Unreadable | MeterError | None, profile: MeterProfile, name: str, tried: int
) -> NoAnswer | OutOfStep | Unreadable | MeterError:
    times = f"tried {tried} times"
    if not isinstance(trouble, NoAnswer):
        return type(trouble or OutOfStep(""))(f"{trouble} ({times}, profile {profile.name})")
    if "socket://" in name:
        return NoAnswer(
            f"{trouble} ({times}); is another program connected? many meters serve one at a time and "
            "let a second one wait in silence"
        )
    return NoAnswer(
        f"{trouble} ({times} at {profile.line}); check that the meter is on, that its serial interface is "
        "chosen, that rate and frame are the same there, and that the cable crosses its lines where needed"
    )
