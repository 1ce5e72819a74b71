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
    """turns = offset + sense x edges / per, truth in [turns - slack_low, turns + slack_high].

    sense: +1, or -1 where the board's count rises as turns come off.  `watch` is there for boards that can't tell the
    direction: edges since a possible reversal count double.  max_speed, max_acceleration: of the spindle, turns/s and
    turns/s2.
    """

    def __init__(
        self, max_speed: float, max_acceleration: float, watch: ReversalWatch | None, *, reverse: bool = False
    ) -> None:
        self._max_speed = max_speed
        self._max_acceleration = max_acceleration
        self.watch = watch
        self.offset = 0.0
        self.sense = -1 if reverse else 1
        self.broken = False
        self._slack_low = 0.0
        self._slack_high = 0.0
        self._told_reversal = False
        self._looks: deque[tuple[float, float]] = deque(maxlen=_SPEED_LOOKS)
        self._raw_speed = 0.0  # of the board's own count

    @property
    def speed(self) -> float:
        """Turns per second over the last moments, signed."""
        return self.sense * self._raw_speed

    @property
    def speed_limit(self) -> float:
        """The most the spindle may have done lately, turns/s."""
        return max(self._max_speed, 2.0 * abs(self._raw_speed))

    def reach(self, seconds: float) -> tuple[float, float]:
        """Turns back and forward that the spindle may have done within so long a time after the last look.

        It had about the speed of the last moments, which changes by no more than max_acceleration.
        """
        most = self.speed_limit * seconds
        if math.isinf(most) or len(self._looks) < 2:
            return most, most
        more = self._max_acceleration * (_SPEED_WINDOW_S * seconds + seconds * seconds / 2.0)
        speed = self.speed
        back, forward = (max(0.0, way * speed) * seconds + more for way in (-1, 1))
        if self.watch is not None:  # which way it went is what nobody knows
            back = forward = max(back, forward)
        return min(most, back), min(most, forward)

    def look(self, t: float, edges: int, per: int) -> None:
        """The board said `edges` at time t (s, of any clock that stays the same one)."""
        looks = self._looks
        while len(looks) > 1 and t - looks[0][0] > _SPEED_WINDOW_S:
            looks.popleft()
        turns = edges / per
        looks.append((t, turns))
        t_then, turns_then = looks[0]
        self._raw_speed = (turns - turns_then) / (t - t_then) if t > t_then else 0.0
        if self.watch is not None:
            self.watch.look(t, edges, per)

    def count(
        self, edges: int, per: int, at: float, raw: str, *, reach_down: float = 0.0, reach_up: float = 0.0
    ) -> Count:
        """The count now; `reach_down`, `reach_up` (turns) widen this one count only."""
        turns = self.offset + self.sense * edges / per
        if self.broken:
            return Count(turns, -math.inf, math.inf, self.speed, at, raw)
        doubled = self.doubled(edges, per)
        if self.sense > 0:
            down, up = max(reach_down, doubled + reach_up if doubled else 0.0), reach_up
        else:
            down, up = reach_down, max(reach_up, doubled + reach_down if doubled else 0.0)
        return Count(turns, turns - self._slack_low - down, turns + self._slack_high + up, self.speed, at, raw)

    def reversal_news(self, edges: int, per: int, at: float, raw: str) -> list[Bounded]:
        """Once after each setting of the count: that a reversal may have gone unseen, for good."""
        if self.watch is None or self._told_reversal or not self.watch.decided:
            return []
        if self.doubled(edges, per) == 0.0:
            return []
        self._told_reversal = True
        now = self.count(edges, per, at, raw)
        why = "the spindle may have turned back after a standstill, and one sensor can't see that"
        return [Bounded(now.low, now.high, why, at, raw)]

    def set(self, turns: float, edges: int, per: int, *, unsure: float = 0.0) -> None:
        """A person says that the position is `turns` at the board's `edges`, give or take `unsure`."""
        self.offset = turns - self.sense * edges / per
        self._slack_low = self._slack_high = unsure
        self.broken = False
        self._trust()

    def leave_out(self, turns: float) -> None:
        """So many turns of the spindle were none of the coil's; what is unsure stays so."""
        self.offset -= turns

    def turn_sense(self, edges: int, per: int) -> None:
        """From here on the board's count runs the other way against the coil's."""
        self._settle(edges, per)
        self.offset += 2 * self.sense * edges / per
        self.sense = -self.sense
        self._trust()

    def wound_back(self, turns: float, edges: int, per: int) -> None:
        """A person says that of what may have gone either way `turns` came off, and the rest went on."""
        counted_wrong = turns if self.sense > 0 else self.doubled(edges, per) / 2.0 - turns
        self.offset -= 2.0 * self.sense * counted_wrong
        self._trust()

    def forget_speed(self) -> None:
        """After a leap: it was none of the spindle's."""
        self._looks.clear()
        self._raw_speed = 0.0

    def settle(self, edges: int, per: int) -> None:
        """What may have been counted the wrong way until here stays unsure; from here the direction is told."""
        self._settle(edges, per)
        self.watch = None

    def unsure_by(self, turns: float) -> None:
        """The board itself can't vouch for its count, by so many turns either way."""
        self._slack_low += turns
        self._slack_high += turns

    def unsure_no_more(self) -> None:
        """What the position was set on has been borne out."""
        self._slack_low = self._slack_high = 0.0

    def start_over(
        self, edges: int, per: int, lost_down: float, lost_up: float, why: str, at: float, raw: str
    ) -> Bounded | Broken:
        """The board began again at zero; between the count and now at most so many turns went unseen.

        `edges`, `per`: where the board stood last. Infinite turns break the count.
        """
        self._settle(edges, per)
        self.offset += self.sense * edges / per
        self.forget_speed()
        if self.watch is not None:
            self.watch.restart_at(0)
        if self.broken or not (math.isfinite(lost_down) and math.isfinite(lost_up)):
            return self.break_off(why, at, raw)
        self._slack_low += lost_down
        self._slack_high += lost_up
        now = self.count(0, per, at, raw)
        return Bounded(now.low, now.high, why, at, raw)

    def break_off(self, why: str, at: float, raw: str) -> Broken:
        """Nothing bounds the position any more."""
        self.broken = True
        self.forget_speed()
        return Broken(f"{why}: count the turns and set the count", at, raw)

    def snapshot(self) -> dict[str, object]:
        return {
            "offset": self.offset,
            "sense": self.sense,
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
        self.sense = -1 if saved.get("sense") == -1 else 1
        self.broken = saved.get("broken") is True
        doubtful = saved.get("doubtful_from")
        if self.watch is not None and isinstance(doubtful, int):
            self.watch.distrust(doubtful)

    def _trust(self) -> None:
        self._told_reversal = False
        if self.watch is not None:
            self.watch.trust()

    def _settle(self, edges: int, per: int) -> None:
        """What may have been counted the wrong way stays unsure for good."""
        doubled = self.doubled(edges, per)
        if self.sense > 0:
            self._slack_low += doubled
        else:
            self._slack_high += doubled

    def doubled(self, edges: int, per: int) -> float:
        """Turns by which the count is too high, should all that may have gone back have gone back."""
        start = self.watch.doubtful_from if self.watch is not None else None
        return 2.0 * (edges - start) / per if start is not None else 0.0
