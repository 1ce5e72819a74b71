"""From a board's count to the turns on the coil, with what is not certain about them."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping

from drivers.counting import Bounded, Broken, Count
from drivers.reversal import ReversalWatch

__all__ = ["Position"]

_SPEED_WINDOW_S = 0.3
_SPEED_LOOKS = 64


class Position:
    """turns = offset + edges / per, truth in [turns - slack_low, turns + slack_high].

    `watch` is there for boards that can't tell the direction: edges since a possible reversal count double.
    """

    def __init__(self, max_speed: float, watch: ReversalWatch | None) -> None:
        self._max_speed = max_speed
        self.watch = watch
        self.offset = 0.0
        self.broken = False
        self._slack_low = 0.0
        self._slack_high = 0.0
        self._told_reversal = False
        self._looks: deque[tuple[float, float]] = deque(maxlen=_SPEED_LOOKS)

    @property
    def speed(self) -> float:
        """Turns per second over the last moments, signed."""
        if len(self._looks) < 2:
            return 0.0
        t_now, turns_now = self._looks[-1]
        t_then, turns_then = self._looks[0]
        return (turns_now - turns_then) / (t_now - t_then) if t_now > t_then else 0.0

    @property
    def speed_limit(self) -> float:
        """The most the spindle may have done lately, turns/s."""
        return max(self._max_speed, 2.0 * abs(self.speed))

    def look(self, t: float, edges: int, per: int) -> None:
        """The board said `edges` at time t (s, of any clock that stays the same one)."""
        while self._looks and t - self._looks[0][0] > _SPEED_WINDOW_S and len(self._looks) > 1:
            self._looks.popleft()
        self._looks.append((t, edges / per))
        if self.watch is not None:
            self.watch.look(t, edges, per)

    def count(
        self, edges: int, per: int, at: float, raw: str, *, reach_down: float = 0.0, reach_up: float = 0.0
    ) -> Count:
        """The count now; `reach_down`, `reach_up` (turns) widen this one count only."""
        turns = self.offset + edges / per
        if self.broken:
            return Count(turns, -math.inf, math.inf, self.speed, at, raw)
        doubled = self._doubled(edges, per)
        down = max(reach_down, doubled + reach_up if doubled else 0.0)
        low, high = turns - self._slack_low - down, turns + self._slack_high + reach_up
        return Count(turns, low, high, self.speed, at, raw)

    def reversal_news(self, edges: int, per: int, at: float, raw: str) -> list[Bounded]:
        """Once after each setting of the count: that a reversal may have gone unseen, for good."""
        if self.watch is None or self._told_reversal or not self.watch.decided:
            return []
        if self._doubled(edges, per) == 0.0:
            return []
        self._told_reversal = True
        now = self.count(edges, per, at, raw)
        why = "the spindle may have turned back after a standstill, and one sensor can't see that"
        return [Bounded(now.low, now.high, why, at, raw)]

    def set(self, turns: float, edges: int, per: int, *, unsure: float = 0.0) -> None:
        """A person says that the position is `turns` at the board's `edges`, give or take `unsure`."""
        self.offset = turns - edges / per
        self._slack_low = self._slack_high = unsure
        self.broken = False
        self._told_reversal = False
        if self.watch is not None:
            self.watch.trust()

    def start_over(
        self, edges: int, per: int, lost_down: float, lost_up: float, why: str, at: float, raw: str
    ) -> Bounded | Broken:
        """The board began again at zero; between the count and now at most so many turns went unseen.

        `edges`, `per`: where the board stood last. Infinite turns break the count.
        """
        self._slack_low += self._doubled(edges, per)
        self.offset += edges / per
        self._looks.clear()
        if self.watch is not None:
            self.watch.restart_at(0)
        if not (math.isfinite(lost_down) and math.isfinite(lost_up)):
            self.broken = True
            return Broken(f"{why}: count the turns and set the count", at, raw)
        self._slack_low += lost_down
        self._slack_high += lost_up
        now = self.count(0, per, at, raw)
        return Bounded(now.low, now.high, why, at, raw)

    def break_off(self, why: str, at: float, raw: str) -> Broken:
        """Nothing bounds the position any more."""
        self.broken = True
        return Broken(f"{why}: count the turns and set the count", at, raw)

    def snapshot(self) -> dict[str, object]:
        return {
            "offset": self.offset,
            "slack_low": self._slack_low,
            "slack_high": self._slack_high,
            "broken": self.broken,
            "doubtful_from": self.watch.doubtful_from if self.watch is not None else None,
            "sensors": 1 if self.watch is not None else 2,
        }

    def restore(self, saved: Mapping[str, object]) -> None:
        """Raises ValueError for what `snapshot` can't have given."""
        numbers = [saved.get(key) for key in ("offset", "slack_low", "slack_high")]
        if not all(isinstance(each, (int, float)) and math.isfinite(each) for each in numbers):
            raise ValueError(f"a saved count holds {numbers!r}, expected three numbers")
        self.offset, self._slack_low, self._slack_high = (float(str(each)) for each in numbers)
        self.broken = saved.get("broken") is True
        doubtful = saved.get("doubtful_from")
        if self.watch is not None and isinstance(doubtful, int):
            self.watch.distrust(doubtful)

    def _doubled(self, edges: int, per: int) -> float:
        start = self.watch.doubtful_from if self.watch is not None else None
        return 2.0 * (edges - start) / per if start is not None else 0.0
