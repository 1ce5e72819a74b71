"""How long a meter may keep its caller waiting, by its profile."""

from __future__ import annotations

from drivers.measuring import SETTLING_MOST
from drivers.meter_profile import MeterFunction, MeterProfile

__all__ = ["longest_recovery_s", "longest_s", "queries_of_reading"]


def queries_of_reading(function: MeterFunction, samples: int) -> int:
    """Most answers that one reading asks for: those thrown away, those until it settled, the samples, the proof."""
    return function.discard + SETTLING_MOST + samples + 1


def longest_recovery_s(profile: MeterProfile) -> float:
    """To find a lost line and to have the meter set as it was, s."""
    line, timing = profile.line, profile.timing
    return timing.reopen_s + line.connect_timeout_s + line.open_settle_s + line.write_timeout_s + timing.resync_s


def longest_s(profile: MeterProfile, queries: int, settle_s: float = 0.0) -> float:
    """For something that takes so many queries, all the trouble on the way included, s.

    That is to do it twice and to recover twice: what fails once more is given up.
    """
    once = settle_s + queries * (profile.timing.response_s + profile.timing.gap_s)
    return 2.0 * (once + longest_recovery_s(profile))
