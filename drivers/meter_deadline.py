"""How long a meter may keep its caller waiting, by its profile."""

from __future__ import annotations

from drivers.measuring import SETTLING_MOST
from drivers.meter_profile import MeterFunction, MeterProfile

__all__ = ["longest_queue_s", "longest_reading_s", "longest_recovery_s", "longest_selection_s"]


def longest_reading_s(profile: MeterProfile, function: MeterFunction, samples: int) -> float:
    """One reading, all the trouble on the way included, s: the answers thrown away, those until it settled, the
    samples, the proof. A meter that ranges itself may be read anew, once, when the range it took is known."""
    times = 2 if function.ranges_itself else 1
    answers = function.discard + times * (SETTLING_MOST + samples)
    each = max(function.response_s or 0.0, profile.timing.response_s) + profile.timing.gap_s + function.refresh_s
    if function.arm is not None:
        each += _message_s(profile)
    return _with_trouble(profile, function.settle_s + answers * each + _proof_s(profile, function))


def longest_selection_s(profile: MeterProfile, function: MeterFunction) -> float:
    """To set function and range and have it proved, all the trouble on the way included, s."""
    messages = (len(function.select) + len(function.filters)) * _message_s(profile)
    completion = profile.completion.within_s if profile.completion is not None else 0.0
    queue = 4 * profile.timing.response_s  # the error queue before and after, at twice an answer each
    return _with_trouble(profile, messages + completion + queue + 2 * _proof_s(profile, function))


def longest_recovery_s(profile: MeterProfile) -> float:
    """To find a lost line and to have the meter set as it was, s."""
    line, timing = profile.line, profile.timing
    return timing.reopen_s + line.connect_timeout_s + line.open_settle_s + line.write_timeout_s + timing.resync_s


def longest_queue_s(profile: MeterProfile) -> float:
    """To empty the error queue, all the trouble on the way included, s."""
    return _with_trouble(profile, 2 * (profile.timing.response_s + profile.timing.gap_s))


def _with_trouble(profile: MeterProfile, once_s: float) -> float:
    """Twice, and a recovery after each: what fails once more is given up."""
    return 2.0 * (once_s + longest_recovery_s(profile))


def _message_s(profile: MeterProfile) -> float:
    """A message that is no query."""
    silent = profile.manners.commands_are_silent
    return profile.timing.gap_s + (0.0 if silent else profile.timing.response_s)


def _proof_s(profile: MeterProfile, function: MeterFunction) -> float:
    """The questions that prove a selection, or else the error queue."""
    return (len(function.verify) or 2) * (profile.timing.response_s + profile.timing.gap_s)
