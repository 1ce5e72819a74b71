"""Runs a winding: counts and a person's words in, kept, then shown; it ends when the count rests at the target."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from bench.job.winding import Winding
from bench.winding.bodies import bound, event_object, interval
from bench.winding.course import Course, MarkKind, course_of, due_first
from bench.winding.pace import Pace
from bench.winding.progress import Progress, Standing, progress_of
from bench.winding.sides import CommandedSource, CountSource, KeepCount, WindingObserver, WindingResult
from bench.winding.state import WindingState
from drivers.counting import Count

__all__ = ["WindingSession"]

_TRAVELLED = 0.1
"""Turns of the spindle that are no mere touch of it."""
_AHEAD_AGAIN = 1.0
"""Turns before a mark from which it is ahead again."""
_SILENT_S = 1.5
"""Three times what a board that talks at rest waits at most between two lines."""


class WindingSession:
    """One winding from the first line to its target, in one go or the last of several.

    rest: seconds that the count must stand at the target, which the winder may overrun and come back to.
    course: what lies ahead, given the ends of layers as they were;  state: where the record has it.
    asks_of_travel: what the spindle turned since the last go may be none of this coil's: where it did, the count is on
    hold until a person says.
    """

    def __init__(
        self,
        winding: Winding,
        target: int,
        source: CountSource,
        keep: KeepCount,
        observers: tuple[WindingObserver, ...] = (),
        *,
        rest: float = 3.0,
        clock: Callable[[], float] = time.monotonic,
        course: Callable[[tuple[float, ...]], Course] | None = None,
        state: WindingState | None = None,
        asks_of_travel: bool = False,
    ) -> None:
        self._asks_of_travel = asks_of_travel
        self._winding = winding
        self._target = target
        self._source = source
        self._keep = keep
        self._observers = observers
        self._rest = rest
        self._clock = clock
        self._state = state or WindingState(winding.name, target=target, begun=True)
        self._course_of = course or (lambda ends: course_of(winding, target, None, ends))
        self._course = self._course_of(self._state.layer_ends)
        self._count: Count | None = None
        self._changed_by_words = False
        self._progress: Progress | None = None
        self._still_since: float | None = None
        self._tells_silence = bool(getattr(source, "sends_at_rest", False))
        self._heard_at = 0.0
        self._heard = 0
        self._pace = Pace()

    @property
    def state(self) -> WindingState:
        """As the record has it now."""
        return self._state

    @property
    def counts_off(self) -> bool:
        """Whether the counter follows by itself what is turned back."""
        return bool(getattr(self._source, "tells_direction", False))

    @property
    def heard(self) -> int:
        """Times that counts came."""
        return self._heard

    @property
    def progress(self) -> Progress | None:
        return self._progress

    def run(self, ended: Callable[[], bool] = lambda: False) -> WindingResult:
        """Poll until the count rests at the target or `ended` says so."""
        while not self.turn_over() and not ended():
            pass
        return WindingResult(self._progress)

    def turn_over(self) -> bool:
        """One poll: keep and show what came; True when the count has rested at the target."""
        counts: list[Count] = []
        for event in self._source.poll(0.05):
            if isinstance(event, Count):
                counts.append(event)
            else:
                self._keep("count event", {"winding": self._winding.name, **event_object(event)})
                for observer in self._observers:
                    observer.count_event(event)
        if counts:
            self._heard += 1
            if self._tells_silence:
                self._heard_at = self._clock()
            self._advance(counts[-1])
        return self._rested()

    # -- a person's words --------------------------------------------------------------------------

    def hold(self, why: str = "") -> None:
        """The count stands from here, whatever the spindle does."""
        count = self._known()
        if self._state.hold is None:
            self._record("hold", {**interval(count), "held": True, "why": why})
            self._show()

    def go_on(self, *, adding: bool = False) -> None:
        """The count goes on; turns of the spindle while it stood are left out, or added where they were wound."""
        hold, count = self._state.hold, self._known()
        if hold is None:
            return
        left_out = 0.0 if adding else count.turns - hold.turns
        if not adding and hold.low == hold.high:
            # whatever became of the counter meanwhile, the coil stands where it stood
            self._commanded.set_count(hold.turns, "as on hold")
        else:
            self._commanded.leave_out(left_out)
        count = self._known()
        self._record("hold", {**interval(count), "held": False, "left_out": left_out})
        self._note_marks(count)
        self._show()

    def correct(self, turns: float, reason: str) -> None:
        """A person says where the coil stands."""
        before = self._known()
        self._commanded.set_count(turns, reason)
        self._corrected(turns, reason, before)

    def wound_back(self, turns: float, reason: str = "wound back") -> None:
        """So many turns came off that the counter did not see come off, or counted as going on.

        A counter with one sensor counted them upwards: of what it is not sure of they are taken twice.  Raises
        ValueError for more than there can have been.
        """
        hold, doubtful = self._state.hold, self._commanded.doubtful
        on = max(self._known().turns if hold is None else hold.turns, 0.0)
        if not 0 <= turns <= on:
            raise ValueError(f"{turns:g} turns back, expected from 0 to the {on:g} that are on")
        if doubtful and turns > doubtful:
            raise ValueError(f"{turns:g} turns back, expected at most the {doubtful:g} that may have gone either way")
        count = self._without_hold()
        if doubtful:
            self._commanded.wound_back(turns)
            now = self._commanded.count or count
            self._corrected(now.turns, f"{turns:g} of {doubtful:g} doubtful turns went back", count)
        else:
            self._commanded.leave_out(turns)
            self._corrected(count.turns - turns, reason, count)

    def turn_sense(self) -> None:
        """Turns come off from here, or go on again, for a counter that can't tell.  Raises ValueError for one that can:
        it counts what comes off by itself."""
        if getattr(self._source, "tells_direction", False):
            raise ValueError(
                "this counter knows the way: turn back and it counts off (should it count down as turns go on, swap "
                "its switches, or say `reverse = true` in its profile)"
            )
        count = self._without_hold()
        self._commanded.turn_sense()
        self._record(
            "correction",
            {**interval(count), "reason": "sense turned round", "taking_off": not self._state.taking_off},
        )
        self._show()

    def settle(self) -> str | None:
        """What is most due is done; its name, None where nothing was."""
        due = due_first(mark for mark in self._course.marks if mark.name in self._state.waiting)
        if not due:
            return None
        first = due[0]
        done = [first]
        if first.kind is MarkKind.LAYER_END:
            # a layer that was gone on from is done, said or not
            done += [mark for mark in due if mark.kind is MarkKind.LAYER_END and mark.turn < first.turn]
        for mark in done:
            self._record("mark", {"mark": mark.name, "what": "done"})
        self._show()
        return first.name

    def layer_full(self) -> int | None:
        """The layer is full here, whatever the sheet says: those after it move.  Its number, None without layers."""
        count = self._known()
        hold = self._state.hold
        if hold is not None:
            count = replace(count, turns=hold.turns)
        layer = self._course.layer_at(count.turns)
        if layer is None or not layer[1] < count.turns < self._target:
            return None
        number = layer[0]
        ends = [*self._course.ends[: number - 1], count.turns]
        self._record(
            "mark", {"mark": f"end of layer {number}", "what": "layer end", "turns": count.turns, "ends": ends}
        )
        self._course = self._course_of(self._state.layer_ends)
        self._show()
        return number

    def layer_not_full(self) -> int | None:
        """The layer that was marked full last is not: the sheet's own turns hold for it again.  Its number, None where
        none was marked."""
        count = self._known()
        ends = self._without_usual(self._state.layer_ends)
        if not ends:
            return None
        number, before = len(ends), self._without_usual(ends[:-1])
        self._record("mark", {"mark": f"end of layer {number}", "what": "layer end undone", "ends": list(before)})
        self._course = self._course_of(self._state.layer_ends)
        self._note_marks(count)
        self._show()
        return number

    def finish(self, reason: str = "") -> WindingResult:
        """The winding ends here; reason: why, where it is not at its target."""
        if self._progress is not None:
            progress = self._progress
            body = {"turns": progress.turns, "low": bound(progress.low), "high": bound(progress.high)}
            more = {"reason": reason} if reason else {}
            open_marks = list(self._state.waiting)
            ends = list(self._state.layer_ends)
            self._record(
                "winding done", {**body, "target": self._target, "not_done": open_marks, "layer_ends": ends, **more}
            )
        return WindingResult(self._progress)

    # -- inside ------------------------------------------------------------------------------------

    @property
    def _commanded(self) -> CommandedSource:
        return self._source  # type: ignore[return-value]

    def _known(self) -> Count:
        """The count of the coil; raises ValueError before there is one, and while the counter's line is away: what the
        spindle did since its last line is not known then."""
        count = self._commanded.count
        if count is None:
            raise ValueError("no count yet, expected a line of the counter first")
        if not getattr(self._source, "listening", True):
            raise ValueError("the counter's line is away, expected it back first")
        return count

    def _without_usual(self, ends: tuple[float, ...]) -> tuple[float, ...]:
        """Without those at the end that would fall there anyhow: nobody marked them."""
        while ends and self._course_of(ends[:-1]).ends[len(ends) - 1 : len(ends)] == ends[-1:]:
            ends = ends[:-1]
        return ends

    def _without_hold(self) -> Count:
        """The count of the coil, with what the spindle did on hold left out of the counter's for good."""
        count, hold = self._known(), self._state.hold
        if hold is None:
            return count
        self._commanded.leave_out(count.turns - hold.turns)
        return self._known()

    def _corrected(self, turns: float, reason: str, before: Count | None) -> None:
        now = self._commanded.count
        said = {"turns": turns, "low": turns, "high": turns} if now is None else interval(now)
        was = {} if before is None else {"before": before.turns}
        self._record("correction", {**said, **was, "reason": reason})
        if now is not None and self._state.hold is None:
            self._note_marks(now)
        self._show()

    def _record(self, kind: str, body: dict[str, Any]) -> None:
        """On the disk first, then in the state."""
        whole = {"winding": self._winding.name, **body}
        if kind in ("count", "correction", "hold"):
            whole["counter"] = self._source.snapshot()
            self._changed_by_words = kind != "count"
        self._keep(kind, whole)
        self._state = self._state.after(kind, whole)

    def _advance(self, count: Count) -> None:
        """Of the lines that came together only the last is kept as an entry; the wire log has every one."""
        before, self._count = self._count, count
        moved = before is None or (before.turns, before.low, before.high) != (count.turns, count.low, count.high)
        # The coil was said to stand elsewhere since: the same count as before those words is then another place.
        moved = moved or self._changed_by_words
        if self._asks_of_travel:
            self._asks_of_travel = False
            state = self._state
            if state.hold is None and abs(count.turns - state.turns) >= _TRAVELLED:
                kept = {"turns": state.turns, "low": bound(state.low), "high": bound(state.high)}
                self._record("hold", {**kept, "held": True, "why": "the spindle turned since the last go"})
        if moved:
            self._record("count", {**interval(count), "speed": round(count.speed, 4)})
            self._still_since = self._clock()
            self._note_marks(count)
        self._pace.take(count)
        self._show()

    def _note_marks(self, count: Count) -> None:
        if self._state.hold is not None:
            return
        for mark in self._course.marks:
            if not mark.reached_at(count.turns):
                break
            if mark.name not in self._state.reached:
                self._record("mark", {"mark": mark.name, "what": "reached", "turns": count.turns})
        self._forget_marks(count)

    def _forget_marks(self, count: Count) -> None:
        """What lies ahead again, since turns came off or the count was wrong, is to be reached and done again."""
        for mark in self._course.marks:
            if mark.name in self._state.reached and count.turns < mark.turn - _AHEAD_AGAIN:
                self._record("mark", {"mark": mark.name, "what": "ahead again", "turns": count.turns})

    def _show(self) -> None:
        count = self._commanded_count()
        if count is None:
            return
        hold = self._state.hold
        left_out = None
        if hold is not None:
            left_out = count.turns - hold.turns
            count = replace(count, turns=hold.turns, low=hold.low, high=hold.high)
        self._progress = progress_of(
            self._winding,
            self._target,
            count,
            self._course,
            waiting=self._state.waiting,
            left_out=left_out,
            pace=self._pace.turns_per_second,
            taking_off=self._state.taking_off,
        )
        for observer in self._observers:
            observer.progressed(self._progress)

    def _commanded_count(self) -> Count | None:
        """The source's own, which a person's words have changed; else that of the last line."""
        own: Count | None = getattr(self._source, "count", None)
        if own is None or self._count is None:
            return own or self._count
        return replace(own, speed=self._count.speed, at=self._count.at)

    def _rested(self) -> bool:
        if self._progress is None or self._still_since is None or self._progress.standing is not Standing.AT_TARGET:
            return False
        now = self._clock()
        if now - self._still_since < self._rest or not getattr(self._source, "listening", True):
            return False
        # a board that talks at rest and is silent says nothing of the spindle
        return not self._tells_silence or now - self._heard_at <= _SILENT_S
