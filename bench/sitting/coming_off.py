"""A winding that comes off, in the record: where it stands, each go as it is typed or counted, and its end."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from bench.records.entry import Kind
from bench.records.instrument_entry import keep_counter
from bench.records.moments import day
from bench.sitting.half_line import HalfLine
from bench.sitting.opening import open_counter
from bench.sitting.problems import BadInput
from bench.sitting.winding_record import WindingRecord
from bench.sitting.wire_segments import new_segment, sealed
from bench.survey.stripping import Stripping
from bench.winding.bodies import event_object
from bench.winding.layers import read_turns
from drivers.counting import Count

if TYPE_CHECKING:
    from collections.abc import Iterator

    from bench.job.bench_file import BenchFile
    from bench.records.store import Store
    from bench.survey.interval import Interval
    from drivers.counter import Counter

__all__ = ["CountedGo", "StripJob", "StripView", "begin", "counted_go", "expected_json", "finish", "typed_go"]

AT_REST_AFTER = 2.0
_SILENT_AFTER = 5.0


class StripView(Protocol):
    """Who is told what comes off."""

    def moved(self, state: Stripping, speed: float | None) -> None:
        """speed [turns/s], None where it was typed."""

    def count_event(self, event: Any) -> None:
        """Something happened to the count or to the counter's line."""

    def said(self, line: str) -> None:
        """A line for the person."""

    def rested(self, state: Stripping) -> None:
        """The spindle stands."""


@dataclass(frozen=True)
class StripJob:
    """One winding that comes off: where it is kept, what is expected, and where it stands.

    last: body of its newest entry, for a counter to go on from;  expected: turns, None where nothing tells.
    """

    store: Store
    number: str
    rules: dict[str, Any]
    state: Stripping
    last: dict[str, Any]
    expected: Interval | None

    @property
    def name(self) -> str:
        return self.state.winding

    def keep(self, kind: str, state: Stripping, **fields: Any) -> None:
        """One entry, on the disk before anything is shown."""
        body = {"winding": self.name, "off": state.off, **fields, "stripping": state.as_saved()}
        self.store.append(self.number, Kind(kind), body)


def begin(
    store: Store,
    number: str,
    name: str,
    rules: dict[str, Any],
    expected: Interval | None,
    say: Callable[[str], None],
    *,
    again: bool = False,
    start: float | None = None,
) -> StripJob:
    """Where the winding stands; raises BadInput for one that is recorded as off, unless it is counted `again`.

    rules: the `count` table of profiles/limits/survey;  start: turns that are off already, in place of those kept.
    """
    kinds = (Kind.STRIP_BEGUN, Kind.STRIP_COUNT, Kind.STRIP_GO, Kind.STRIPPED)
    entries = [one for one in store.entries_of(number, kinds) if one.body.get("winding") == name]
    newest = entries[-1] if entries else None
    if newest is not None and newest.kind == Kind.STRIPPED and not again:
        raise BadInput(
            f"{name}: is recorded as off with {newest.body['turns']:g} turns on {day(newest.at)}; "
            "--again counts it anew"
        )
    if newest is None or again:
        job = StripJob(store, number, rules, Stripping(name), {}, expected)
        job.keep(Kind.STRIP_BEGUN, job.state, expected=expected_json(expected))
    else:
        try:
            state = Stripping.from_saved(name, newest.body["stripping"])
        except (KeyError, ValueError) as problem:
            raise BadInput(f"{problem}; --again begins a new count") from None
        job = StripJob(store, number, rules, state, newest.body, expected)
        if state.goes and start is None:
            say(f"{name}: going on from {state.off:g} turns off as recorded")
    if start is not None:
        job = replace(job, state=job.state.set_to(start), last={})
        job.keep(Kind.STRIP_GO, job.state, turns=start, how="--from")
    return job


def typed_go(job: StripJob, state: Stripping, text: str) -> Stripping:
    """One more go as typed, turns or turns by layers, kept; raises ValueError for what is none."""
    turns = read_turns(text)
    state = state.ended().with_typed(turns)
    job.keep("strip go", state, turns=turns, text=text, how="typed")
    return state


@contextmanager
def counted_go(
    job: StripJob,
    bench: BenchFile,
    counter: str,
    view: StripView,
    say: Callable[[str], None],
    *,
    wire_log: Path | None = None,
) -> Iterator[CountedGo]:
    """One go by a counter, open while this lasts; raises BadInput or InstrumentTrouble."""
    record = WindingRecord(job.store, job.number, job.name)
    with sealed(record), open_counter(bench, counter, wire_log=wire_log or new_segment(record)) as instrument:
        going_on = _taken_up(job, instrument, say)
        keep_counter(job.store, job.number, bench, counter, instrument, winding=job.name, during="stripping")
        yield CountedGo(job, instrument, view, counter, say, begun=going_on)


def finish(job: StripJob, state: Stripping) -> dict[str, Any]:
    """The entry that says that the winding is off, with its count; its body."""
    body = {
        "winding": job.name,
        "turns": state.off,
        "low": state.low,
        "high": state.high,
        "within": state.within(job.rules),
        "how": state.how,
        "goes": state.goes,
        "expected": expected_json(job.expected),
    }
    job.store.append(job.number, Kind.STRIPPED, body)
    return body


def expected_json(turns: Interval | None) -> dict[str, float] | None:
    """To a thousandth of a turn: no expectation is better."""
    if turns is None:
        return None
    return {"value": round(turns.value, 3), "low": round(max(0.0, turns.low), 3), "high": round(turns.high, 3)}


class CountedGo:
    """The polls of one go: what came is kept, then shown."""

    def __init__(
        self,
        job: StripJob,
        instrument: Counter,
        view: StripView,
        counter: str,
        say: Callable[[str], None],
        *,
        begun: bool,
    ) -> None:
        self.state = job.state if begun else job.state.ended()
        self.begun = begun
        self._job = job
        self._instrument = instrument
        self._view = view
        self._counter = counter
        self._say = say
        self._shown: tuple[float, float, float] | None = None
        self._still_since = time.monotonic()
        self._silent_at: float | None = self._still_since + _SILENT_AFTER
        self._sense = self.state.sense
        self._half_line = HalfLine()
        self._turning = False

    def rests(self, rest: float | None) -> bool:
        """Whether it has stood for `rest` [s], None for never, with something off."""
        if rest is None or self._shown is None or self.state.off <= 0:
            return False
        return time.monotonic() - self._still_since >= rest

    def closed(self) -> Stripping:
        """The state with this go over, kept where anything came."""
        state = self.state.ended()
        if self.begun and state.goes:
            self._job.keep("strip go", state, turns=state.off - self._job.state.off, low=_bound(state.low),
                           high=_bound(state.high), how="counter", counter_name=self._counter)  # fmt: skip
        return state

    def look(self) -> None:
        """One poll of the counter; what came is kept, then shown."""
        counts: list[Count] = []
        for event in self._half_line.without(self._instrument.poll(0.05)):
            if isinstance(event, Count):
                counts.append(event)
                continue
            body = {"winding": self._job.name, "while": "stripping", **event_object(event)}
            self._job.store.append(self._job.number, Kind.COUNT_EVENT, body)
            self._view.count_event(event)
        if counts:
            self._silent_at = None
            self._counted(counts[-1])
        elif self._silent_at is not None and time.monotonic() > self._silent_at:
            self._silent_at = None
            words = "no line yet; is the board powered, does the profile match it?"
            self._say(f"{self._counter}: {words}")
        if self._turning and time.monotonic() - self._still_since >= AT_REST_AFTER:
            self._turning = False
            self._view.rested(self.state)

    def _counted(self, count: Count) -> None:
        """Of the lines that came together only the last is kept as an entry; the wire log has every one."""
        saved = self._instrument.snapshot()
        if not self.begun:
            self.begun = True
            self.state = self.state.begun(_edge(self._instrument, saved), self._counter)
        self.state = self.state.moved(count.turns, count.low, count.high)
        now = (count.turns, count.low, count.high)
        if now == self._shown:
            return
        self._shown = now
        self._still_since = time.monotonic()
        self._job.keep(
            "strip count",
            self.state,
            position=count.turns,
            low=_bound(self.state.low),
            high=_bound(self.state.high),
            raw=count.raw,
            counter=saved,
            counter_name=self._counter,
        )
        if self.state.sense != self._sense:
            self._sense = self.state.sense
            way = "forward" if self._sense > 0 else "backward"
            self._view.said(f"{self._job.name}: turning {way} is taken as turns that come off")
        self._turning = True
        self._view.moved(self.state, count.speed)


def _taken_up(job: StripJob, instrument: Counter, say: Callable[[str], None]) -> bool:
    """Go on in the go that was interrupted, with what the board counted meanwhile; else a new go, from zero."""
    saved = job.last.get("counter")
    if job.state.counting and saved is not None:
        try:
            instrument.restore(saved)
            return True
        except ValueError as problem:
            say(
                f"{job.name}: {job.state.off:g} turns off are recorded from another counter ({problem}); what came off "
                "since then is not in it: say how many are off in all with --from TURNS"
            )
    instrument.set_count(0.0, "a go of stripping")
    return False


def _edge(instrument: Counter, saved: dict[str, object] | None) -> float:
    """Turns from one edge of the counter to the next."""
    plain = instrument.profile.plain
    if plain is not None:
        return 1.0 / plain.edges_per_turn
    match saved:
        case {"last": [_, _, _, _, int(per), *_]} if per > 0:
            return 1.0 / per
    return 1.0


def _bound(turns: float) -> float | None:
    return turns if math.isfinite(turns) else None
