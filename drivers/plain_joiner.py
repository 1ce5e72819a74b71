"""Joins plain lines to one count: no line number, no check sum, so what is said twice is believed."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, replace

from drivers.counter_profile import CountDirection, CounterProfile, PlainForm
from drivers.counting import BadLine, Bridged, Count, JoinerEvent
from drivers.countline import PlainLine
from drivers.position import Position
from drivers.reversal import watch_for

__all__ = ["PlainJoiner"]

_SAID_OFTEN = 2  # times that a number was repeated: damage hardly repeats it twice
_COMES_BACK_S = 5.0
_REMEMBERED = 8  # lines that a wrong one may be set aside for
_A_DROP = 2.0  # turns: a spindle that goes back shows each turn, a board that begins anew leaps to zero


@dataclass(frozen=True, slots=True)
class _Arrived:
    """A line that came between `earliest` and `at`, monotonic s; the truth may be so far below or above.

    number: the line's own, or where numbers begin anew at the end of their range the one that went on.
    after_silence: the board had missed several of its periods.
    """

    line: PlainLine
    number: int
    earliest: float
    at: float
    down: float = 0.0
    up: float = 0.0
    after_silence: bool = False
    same: int = 0  # lines before it that said the same


@dataclass(frozen=True, slots=True)
class _BeforeLeap:
    """Where the count stood before it leapt or began anew at `at`."""

    at: float
    last: _Arrived
    position: dict[str, object]


class PlainJoiner:
    """A damaged digit leaves a line that reads well. Of two lines in a row one at least is taken as right.

    So a count that is said three times is certain, one that moved lies within what the spindle can do since the
    line before, and a jump beyond that waits until the next line bears it out; should the count come back to where it
    was within some seconds, it was damage that looked alike. After many lines without any damage (`trusted_after`)
    the cable is taken for sound, and each line for what it says.

    A board that began anew shows by a leap towards zero, by a line that came back, or, where the profile
    gives its period, by a silence. Without a period, one that begins anew and counts to its old count or
    beyond before its next line can't be told from one that went on; nor can one that is silent for less
    than three periods within two turns of zero.
    """

    def __init__(self, profile: CounterProfile, form: PlainForm) -> None:
        self._profile = profile
        self._per = form.edges_per_turn
        self._up_only = profile.direction is CountDirection.UP
        self._resets_on_open = form.resets_on_open
        self._wraps_at = form.wraps_at
        self._silence_s = 3.0 * form.period_s + profile.latency_s if form.period_s else math.inf
        self._heard_at = -math.inf
        watch = watch_for(profile, profile.latency_s)
        self.position = Position(profile.max_speed, profile.max_acceleration, watch, reverse=profile.reverse)
        self._last: _Arrived | None = None
        self._recent: deque[_Arrived] = deque(maxlen=_REMEMBERED)
        self._held: _Arrived | None = None
        self._reconnected = False
        self._preset: float | None = None
        self._set_on: int | None = None
        self._clean = 0
        self._trusted_after = form.trusted_after
        self._before_leap: _BeforeLeap | None = None

    def feed(self, line: PlainLine, earliest: float, at: float) -> list[JoinerEvent]:
        silent = at - self._heard_at > self._silence_s and self._last is not None
        held, self._held = self._held, None
        arrived = self._counted_on(_Arrived(line, line.number, earliest, at, after_silence=silent), held)
        self._heard_at = at
        if held is None:
            if self._last is None or self._wants_confirmation(self._last, arrived):
                self._held = arrived
                return []
            return self._accept(self._last, arrived)
        if self._follows(held, arrived) and not self._goes_on_without(held, arrived):
            return self._confirmed(self._unsure(held, arrived)) + self.feed(line, earliest, at)
        self._clean = 0
        refused = BadLine(held.line.raw, "does not fit what came before and after", held.at)
        return [refused, *self.feed(line, earliest, at)]

    def heard(self, at: float) -> None:
        """Something came that can't be used: the board is alive, and its cable is not sound."""
        self._heard_at = at
        self._clean = 0

    def link_back(self) -> None:
        """The port was opened anew."""
        self._held = None
        self._reconnected = self._last is not None

    def set_count(self, turns: float) -> None:
        if self._last is None:
            self._preset = turns
        else:
            unsure = max(self._last.down, self._last.up)
            self.position.set(turns, self._last.number, self._per, unsure=unsure)
            self._forget_leaps()
            self._set_on = self._last.number if unsure else None

    def turn_sense(self) -> None:
        self._forget_leaps()
        self.position.turn_sense(self._last.number if self._last is not None else 0, self._per)

    def wound_back(self, turns: float) -> None:
        self._forget_leaps()
        if self._last is not None:
            self.position.wound_back(turns, self._last.number, self._per)

    @property
    def edges_per_turn(self) -> int | None:
        return self._per

    def doubtful(self) -> float:
        return self.position.doubled(self._last.number, self._per) / 2.0 if self._last is not None else 0.0

    def count_now(self) -> Count | None:
        return self._count(self._last) if self._last is not None else None

    def snapshot(self) -> dict[str, object] | None:
        if self._last is None:
            return None
        return {**self.position.snapshot(), "last": list(self._last.line), "number": self._last.number}

    def restore(self, saved: Mapping[str, object]) -> None:
        """Raises ValueError for what `snapshot` can't have given."""
        match saved.get("last"):
            case [int(number), str(raw)]:
                last = PlainLine(number, raw)
            case other:
                raise ValueError(f"a saved count holds the line {other!r}, expected a count and its line")
        match saved.get("number", number):
            case int(went_on):
                self.position.restore(saved)
                self._last = _Arrived(last, went_on, -math.inf, -math.inf)
            case other:
                raise ValueError(f"a saved count stands at {other!r}, expected a whole number")

    # -- one line ----------------------------------------------------------------------------------

    def _wants_confirmation(self, last: _Arrived, arrived: _Arrived) -> bool:
        if math.isinf(last.at):
            return self._resets_on_open or last.number != arrived.number
        return not self._follows(last, arrived) or self._may_have_begun_anew(last, arrived)

    def _goes_on_without(self, held: _Arrived, arrived: _Arrived) -> bool:
        """Whether the line after the held one goes on from the line before it, and so leaves the held one alone."""
        last = self._last
        if last is None or math.isinf(last.at) or self._follows(last, held):
            return False
        return self._follows(last, arrived) and not self._may_have_begun_anew(last, arrived)

    def _confirmed(self, held: _Arrived) -> list[JoinerEvent]:
        """What a line means that the next one has borne out."""
        last = self._last
        if last is None:
            if self._preset is not None:
                unsure = max(held.down, held.up)
                self.position.set(self._preset, held.number, self._per, unsure=unsure)
                self._preset = None
            return self._take(held)
        gap = self._gap(last, held)
        if math.isinf(gap):
            return self._after_nobody_listened(last, held)
        went_on = self._follows(last, held)
        if self._may_have_begun_anew(last, held):
            return self._begun_anew(last, held, went_on=went_on)
        if went_on:
            return self._accept(last, held)
        leap = self._before_leap
        if leap is not None and held.at - leap.at < _COMES_BACK_S and self._follows(leap.last, held):
            return self._came_back(leap, held)
        self._set_on = None
        while self._recent:
            self._last = self._recent.pop()  # what came after it was wrong
            if self._follows(self._last, held):
                return self._accept(self._last, held)
        self._last = last
        why = f"the count jumped from {last.number} to {held.number}, faster than the spindle turns"
        return self._break_off(why, held)

    def _after_nobody_listened(self, last: _Arrived, held: _Arrived) -> list[JoinerEvent]:
        """Nothing bounds the count. What it would be, had the spindle stood still meanwhile, stays in it: the old count
        and what the board has counted since it began anew, or the board's own."""
        if self._resets_on_open or abs(held.line.number) < abs(last.number) / 2:
            why = "the board began anew while nobody was listening"
            event = self.position.start_over(last.number, self._per, math.inf, math.inf, why, held.at, held.line.raw)
            return [event, *self._take(replace(held, number=held.line.number))]
        return self._break_off("the board counted on while nobody was listening", held)

    def _may_have_begun_anew(self, last: _Arrived, now: _Arrived) -> bool:
        """Whether the board may have counted up to here from zero since the last line."""
        if abs(now.line.number) / self._per > self._turns_within(self._gap(last, now)) + 1:
            return False
        if self._reconnected and (self._resets_on_open or now.number != last.number):
            return True
        if now.after_silence:
            return True
        return (abs(last.number) - abs(now.number)) / self._per >= _A_DROP

    def _counted_on(self, arrived: _Arrived, held: _Arrived | None) -> _Arrived:
        """Of numbers that begin anew at the end of their range, the one nearest to what came before if a spindle can
        have got there; else as it is."""
        if not self._wraps_at:
            return arrived
        for before in (held, self._last):
            if before is None:
                continue
            rounds = round((before.number - arrived.line.number) / self._wraps_at)
            went_on = replace(arrived, number=arrived.line.number + rounds * self._wraps_at)
            if math.isinf(before.at) or self._follows(before, went_on):
                return went_on
        return arrived

    def _begun_anew(self, last: _Arrived, held: _Arrived, *, went_on: bool) -> list[JoinerEvent]:
        gap = self._gap(last, held)
        reach = self._turns_within(gap)
        old = last.number / self._per
        # where it may as well have gone on, the truth may also be the new count without the old one; else the new count
        # may be damage twice alike, and the truth near the old one
        new = abs(held.line.number) / self._per
        down = max(reach, old) if went_on else reach + new
        up = max(reach, -old) if went_on else reach + new
        self._remember_leap(held.at)
        why = f"the board began anew, and what turned within {gap:.2f} s may not have been counted"
        lost = (down + last.down, up + last.up) if self.position.sense > 0 else (up + last.up, down + last.down)
        self._set_on = None
        event = self.position.start_over(last.number, self._per, *lost, why, held.at, held.line.raw)
        return [event, *self._take(replace(held, number=held.line.number))]

    def _forget_leaps(self) -> None:
        """A person's word stands: no line from before it is gone back to."""
        self._recent.clear()
        self._before_leap = None
        self._set_on = None

    def _remember_leap(self, at: float) -> None:
        self._set_on = None
        if self._last is not None and not self.position.broken:
            self._before_leap = _BeforeLeap(at, self._last, self.position.snapshot())

    def _came_back(self, leap: _BeforeLeap, held: _Arrived) -> list[JoinerEvent]:
        """What looked like a leap was damage: the count goes on from before it."""
        self.position.restore(leap.position)
        self._last, self._before_leap = leap.last, None
        self._recent.clear()
        self.position.forget_speed()
        why = "lines that were damaged alike are set aside, the board's own count went on"
        return [Bridged(0, why, held.at, held.line.raw), *self._accept(leap.last, held)]

    def _break_off(self, why: str, held: _Arrived) -> list[JoinerEvent]:
        self._remember_leap(held.at)
        return [self.position.break_off(why, held.at, held.line.raw), *self._take(held)]

    def _accept(self, last: _Arrived, arrived: _Arrived) -> list[JoinerEvent]:
        """A line that goes on from `last`."""
        step = (arrived.number - last.number) / self._per
        same = last.same + 1 if step == 0 else 0
        gap = self._gap(last, arrived)
        if self._set_on is not None and (step != 0 or same >= _SAID_OFTEN):
            if step == 0 and arrived.number == self._set_on:
                self.position.unsure_no_more()  # the line on which a person set the count was right
            self._set_on = None
        if same >= _SAID_OFTEN or self._clean >= self._trusted_after or (same and math.isinf(gap)):
            arrived = replace(arrived, down=0.0, up=0.0, same=same)
        else:
            reach = self._turns_within(gap)
            arrived = replace(arrived, down=step if self._up_only else reach + step, up=reach - step, same=same)
        events: list[JoinerEvent] = []
        if self._reconnected:
            why = "the line came back, the board's own count went on"
            events.append(Bridged(0, why, arrived.at, arrived.line.raw))
        return events + self._take(arrived)

    def _take(self, arrived: _Arrived) -> list[JoinerEvent]:
        number, raw = arrived.number, arrived.line.raw
        if self._last is not None:
            self._recent.append(self._last)
        self._last = arrived
        self._reconnected = False
        self._clean += 1
        self.position.look(arrived.at, number, self._per)
        news = self.position.reversal_news(number, self._per, arrived.at, raw)
        return [*news, self._count(arrived)]

    def _count(self, arrived: _Arrived) -> Count:
        number, raw = arrived.number, arrived.line.raw
        down, up = (arrived.down, arrived.up) if self.position.sense > 0 else (arrived.up, arrived.down)
        return self.position.count(number, self._per, arrived.at, raw, reach_down=down, reach_up=up)

    def _unsure(self, held: _Arrived, after: _Arrived) -> _Arrived:
        """The held line with what it may be wrong by, should only the one after it be right."""
        if held.number == after.number:
            return held
        reach = self._turns_within(self._gap(held, after))
        step = (after.number - held.number) / self._per
        return replace(held, down=max(0.0, reach - step), up=max(0.0, reach + step))

    def _follows(self, before: _Arrived, after: _Arrived) -> bool:
        """Whether a spindle can have got from the one to the other."""
        step = after.number - before.number
        if self._up_only and step < 0:
            return False
        return abs(step) / self._per <= self._turns_within(self._gap(before, after))

    def _gap(self, before: _Arrived, after: _Arrived) -> float:
        return after.at - before.earliest + self._profile.latency_s

    def _turns_within(self, seconds: float) -> float:
        return self.position.speed_limit * seconds
