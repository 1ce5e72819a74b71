"""Gets back in step with a meter whose line may hold anything: until its identity answers in full."""

from __future__ import annotations

import logging
from collections.abc import Callable

from drivers.errors import DriverError, MeterError, NoAnswer, OutOfStep, PortBusy, Unreadable
from drivers.meter_line import MeterLine
from drivers.meter_profile import MeterProfile
from drivers.scpi import unreadable

__all__ = ["identify"]

_log = logging.getLogger(__name__)
_TRIES = 3


def identify(
    line: MeterLine, profile: MeterProfile, name: str, clock: Callable[[], float], known: str | None = None
) -> str:
    """The identity that matches the profile in full and is the `known` one, or else is answered twice alike; where the
    dialect has none, that its probe is answered twice.

    A bare terminator ends what an earlier program left half said; then the line is drained, longer at each
    try. Bounded by the profile's `resync_s`. Raises NoAnswer, Unreadable or OutOfStep that say what was
    tried, PortBusy for a network connection on which nothing ever came, MeterError where the meter refuses to
    answer, LinkLost.
    """
    give_up = clock() + profile.timing.resync_s
    tried = 0
    trouble: NoAnswer | OutOfStep | Unreadable | MeterError | None = None
    while tried < _TRIES and (not tried or clock() < give_up):
        # a meter that drips pauses between its bytes: what looked quiet to the last try may not have been
        quiet_s = profile.timing.quiet_s * 2**tried
        tried += 1
        try:
            line.send_raw(profile.device_clear + profile.terminator_sent)
            line.drain(profile.timing.late_s, quiet_s)
            text = _asked(line, profile, name)
            if text != known:
                # generous patterns also fit a damaged letter, or a piece of a stale line in front
                again = _asked(line, profile, name)
                if again != text and not profile.identity_is_probe:
                    raise OutOfStep(
                        f"{name}: {profile.identity_query} was answered {text[:60]!r} and then {again[:60]!r}"
                    )
            line.drain(profile.timing.late_s)  # an earlier try may be answered late
            return profile.identity_of(text)
        except (NoAnswer, OutOfStep, Unreadable, MeterError) as error:
            trouble = error
    raise _with_advice(trouble, profile, name, tried, never_heard=not line.heard)


def _asked(line: MeterLine, profile: MeterProfile, name: str) -> str:
    """What the identity query was answered with, where it is an identity."""
    timing = profile.timing
    answer = line.query(profile.identity_query, timing.identity_s, max(timing.identity_s, timing.response_s))
    unclear = unreadable(answer)
    if unclear is not None:
        raise Unreadable(f"{name}: {profile.identity_query}: {unclear}")
    text = answer.decode("ascii").strip()
    if not profile.identity_pattern.fullmatch(text):
        _log.info("%s: %r is no identity", name, text)
        raise OutOfStep(f"{name}: {profile.identity_query} was answered {text[:60]!r}, which is no identity")
    return text


def _with_advice(
    trouble: NoAnswer | OutOfStep | Unreadable | MeterError | None,
    profile: MeterProfile,
    name: str,
    tried: int,
    *,
    never_heard: bool,
) -> DriverError:
    times = f"tried {tried} times"
    if not isinstance(trouble, NoAnswer):
        return type(trouble or OutOfStep(""))(f"{trouble} ({times}, profile {profile.name})")
    if "socket://" in name:
        advice = (
            f"{trouble} ({times}); connected, but silent: in use by another program? Many meters serve one at a time "
            "and let a second one wait in silence"
        )
        return PortBusy(advice) if never_heard else NoAnswer(advice)
    return NoAnswer(
        f"{trouble} ({times} at {profile.line}); check that the meter is on, that its serial interface is "
        "chosen, that rate and frame are the same there, and that the cable crosses its lines where needed"
    )
