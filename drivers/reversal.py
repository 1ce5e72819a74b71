"""Where a spindle with one sensor may have turned back without anybody seeing it.

One sensor counts up whichever way the spindle goes. A reversal needs a standstill, and around a standstill
at t0 a spindle that is never accelerated by more than `a` has |v| <= a |t - t0|, so that it covers at most
a tau^2 / 2 within tau on either side. Where the edges say that it went farther, there was no standstill.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from drivers.counter_profile import CountDirection, CounterProfile

__all__ = ["ReversalWatch", "watch_for"]

_KEPT = 64
_PENDING_MOST = 32
_EDGE_SLACK = 2  # n edges are at least n - 1 steps apart, and a reversal crosses its edge twice
_TRUSTED_START_S = 2.0
_CLEARLY_MOVING = 10  # looks in a row


@dataclass(slots=True)
class _Standstill:
    """It may have stood somewhere between two looks at it."""

    t_start: float
    t_end: float
    edges_start: int
    edges_end: int


class ReversalWatch:
    """Tells how many of the latest edges may have been counted the wrong way.

    max_acceleration, max_speed: turns/s², turns/s. jitter: how far off the times of the looks may be, s.
    The first motion after `trust` goes forward, by agreement with whoever set the count, until the speed
    rules a standstill out, or two seconds long.
    """

    def __init__(self, max_acceleration: float, max_speed: float, jitter: float) -> None:
        self._a = max_acceleration
        self._jitter = jitter
        self._undecided_s = 2.0 * max_speed / max_acceleration  # later no speed can rule it out any more
        self._looks: deque[tuple[float, int]] = deque(maxlen=_KEPT)
        self._pending: list[_Standstill] = []
        self._certain_from: int | None = None
        self._trusted = True
        self._first_motion: float | None = None
        self._clearly_moving = 0

    @property
    def doubtful_from(self) -> int | None:
        """Edge count from which on each edge may have been either way; None while all is certain."""
        starts = [each.edges_start for each in self._pending]
        if self._certain_from is not None:
            starts.append(self._certain_from)
        return min(starts, default=None)

    @property
    def decided(self) -> bool:
        """Whether a standstill has passed that nothing will rule out any more."""
        return self._certain_from is not None

    def trust(self) -> None:
        """The position is known and the next motion goes forward."""
        self._pending.clear()
        self._certain_from = None
        self._trusted = True
        self._first_motion = None
        self._clearly_moving = 0

    def distrust(self, edges: int) -> None:
        """From this edge on the direction is unknown."""
        self._looks.clear()
        self._pending.clear()
        self._trusted = False
        self._certain_from = edges if self._certain_from is None else min(self._certain_from, edges)

    def restart_at(self, edges: int) -> None:
        """The board's count began anew at `edges`, and from there on the direction is unknown."""
        self._certain_from = None
        self.distrust(edges)

    def look(self, t: float, edges: int, per: int) -> None:
        """The board's count `edges` at board time t (s), `per` edges a turn."""
        if self._looks:
            t_before, edges_before = self._looks[-1]
            self._judge(_Standstill(t_before, t, edges_before, edges), per)
        self._looks.append((t, edges))

    def _judge(self, latest: _Standstill, per: int) -> None:
        stood = not self._too_fast_to_have_stood(latest, per)
        if self._trusted:
            self._end_trust(latest, stood=stood)
            return
        if self._certain_from is not None:
            return
        self._rule_out(latest, per)
        if stood:
            self._remember(latest)
        for each in self._pending:
            if latest.t_end - each.t_end > self._undecided_s and latest.edges_end > each.edges_end:
                self._certain_from = each.edges_start
                self._pending.clear()
                return

    def _end_trust(self, latest: _Standstill, *, stood: bool) -> None:
        if latest.edges_end != latest.edges_start and self._first_motion is None:
            self._first_motion = latest.t_start
        self._clearly_moving = 0 if stood else self._clearly_moving + 1
        started = self._first_motion is not None and latest.t_end - self._first_motion > _TRUSTED_START_S
        if started or self._clearly_moving >= _CLEARLY_MOVING:
            self._trusted = False

    def _too_fast_to_have_stood(self, latest: _Standstill, per: int) -> bool:
        inside = latest.edges_end - latest.edges_start
        if self._farther(inside, latest.t_end - latest.t_start, per):
            return True
        return any(
            self._farther(latest.edges_start - edges, latest.t_end - t, per) for t, edges in reversed(self._looks)
        )

    def _rule_out(self, latest: _Standstill, per: int) -> None:
        self._pending = [
            each
            for each in self._pending
            if not self._farther(latest.edges_end - each.edges_end, latest.t_end - each.t_start, per)
        ]

    def _remember(self, latest: _Standstill) -> None:
        last = self._pending[-1] if self._pending else None
        if last is not None and (last.edges_end == latest.edges_end or len(self._pending) >= _PENDING_MOST):
            last.t_end, last.edges_end = latest.t_end, latest.edges_end
        else:
            self._pending.append(latest)

    def _farther(self, edges: int, within: float, per: int) -> bool:
        return (edges - _EDGE_SLACK) / per > self._a * (within + self._jitter) ** 2 / 2.0


def watch_for(profile: CounterProfile, jitter: float) -> ReversalWatch | None:
    """A watch where the profile's board can't tell the direction; None where it can."""
    if profile.direction is CountDirection.BOTH:
        return None
    return ReversalWatch(profile.max_acceleration, profile.max_speed, jitter)
