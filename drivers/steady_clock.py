"""Seconds that go on while the computer sleeps, where the system can tell them."""

from __future__ import annotations

import time

__all__ = ["steady_clock"]


def steady_clock() -> float:
    """Monotonic seconds; on Linux also those of a laptop that slept. A board without power meanwhile lost that much."""
    boot_time = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot_time is None else time.clock_gettime(boot_time)
