"""A winding counted as it comes off, from the window: typed go by go, or one go by a counter."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bench.dashboard import news as told
from bench.dashboard.work.bridge import Bridge, Closed
from bench.dashboard.work.orders import Orders
from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.profiles import load_table
from bench.records.entry import Kind
from bench.records.kept_profiles import keep_tables
from bench.sitting.coming_off import StripJob, begin, counted_go, finish, typed_go
from bench.sitting.opening import HAND, open_store, take_job_lock
from bench.sitting.survey_known import known_so_far, winding_as_found
from bench.survey.interval import Interval
from bench.survey.stripping import Stripping

__all__ = ["GoTyped", "Leave", "OffWhole", "StripWork"]


@dataclass(frozen=True)
class GoTyped:
    """Turns that came off in one go, or by layers, as typed."""

    text: str


@dataclass(frozen=True)
class OffWhole:
    """The winding is off; its count stands."""


@dataclass(frozen=True)
class Leave:
    """It is left so, to go on later."""


@dataclass(frozen=True)
class StripWork:
    """counter: PROFILE@PORT, a name of the bench file, or hand;  again: it is recorded as off and is counted anew;
    start: turns that are off already, in place of those kept."""

    path: Path
    job: Job
    bench: BenchFile
    winding: str
    counter: str = HAND
    again: bool = False
    start: float | None = None
    doing: str = "survey"

    def run(self, bridge: Bridge, orders: Orders) -> None:
        rules = load_table("limits", "survey")
        with take_job_lock(self.job, "survey --strip"), open_store() as store:
            known = known_so_far(self.job, store, self.bench, rules, curve=False)
            name = winding_as_found(known, self.winding, "winding").name
            text = self.path.read_text(encoding="utf-8")
            store.append(self.job.identity.number, Kind.JOB_FILE, {"file": self.path.name, "text": text})
            before = known.winding(name)
            expected = None if before is None else before.expected
            strip = begin(
                store,
                self.job.identity.number,
                name,
                rules["count"],
                expected,
                lambda line: bridge.tell(told.Said(line)),
                again=self.again,
                start=self.start,
            )
            keep_tables(store, self.job.identity.number, [("limits", "survey")])
            view = _View(bridge, expected, "" if self._by_hand else self.counter)
            view.moved(strip.state, None)
            state = self._typed(strip, view, orders) if self._by_hand else self._counted(strip, view, bridge, orders)
            if state is not None:
                body = finish(strip, state)
                bridge.tell(told.Said(f"{name}: off whole, {body['turns']:g} turns, kept"))

    @property
    def _by_hand(self) -> bool:
        return self.counter == HAND or any(one.name == self.counter and one.use == HAND for one in self.bench.counter)

    def _typed(self, strip: StripJob, view: _View, orders: Orders) -> Stripping | None:
        """The state once it is off whole; None where it is left so."""
        state = strip.state.ended()
        while True:
            match orders.wait():
                case GoTyped(text=text):
                    try:
                        state = typed_go(strip, state, text)
                    except ValueError as problem:
                        view.said(str(problem), grave=True)
                        continue
                    view.moved(state, None)
                    view.said(f"{text} taken: {state.off:g} turns off so far")
                case OffWhole():
                    if _may_stand(state, view):
                        return state
                case Leave():
                    view.said(f"{strip.name}: {state.off:g} turns off so far, kept")
                    return None

    def _counted(self, strip: StripJob, view: _View, bridge: Bridge, orders: Orders) -> Stripping | None:
        with ExitStack() as things:
            go = things.enter_context(counted_go(strip, self.bench, self.counter, view, view.said))
            bridge.instrument("counter", f"{self.counter}: open")
            try:
                while True:
                    go.look()
                    match orders.take():
                        case OffWhole() if go.begun and _may_stand(go.state, view):
                            return go.closed()
                        case OffWhole() if not go.begun:
                            view.said("no line of the counter yet, so nothing came off")
                        case Leave():
                            state = go.closed()
                            view.said(f"{strip.name}: {state.off:.1f} turns off so far, kept")
                            return None
                        case GoTyped():
                            view.said("a counter counts this go: leave it first, then type", grave=True)
            except Closed:
                go.closed()
                raise


def _may_stand(state: Stripping, view: _View) -> bool:
    if not state.bounded:
        view.said("the count is lost: leave it, then F says how many are off in all", grave=True)
    elif state.off <= 0:
        view.said("nothing came off yet", grave=True)
    return state.bounded and state.off > 0


class _View:
    """Tells the window; said: a line for the person."""

    def __init__(self, bridge: Bridge, expected: Interval | None, counter: str) -> None:
        self._bridge, self._expected, self._counter = bridge, expected, counter

    def moved(self, state: Stripping, speed: float | None) -> None:
        self._bridge.tell(told.CameOff(state, self._expected, speed, self._counter))

    def count_event(self, event: Any) -> None:
        self._bridge.count_event(event)

    def said(self, line: str, *, grave: bool = False) -> None:
        self._bridge.tell(told.Said(line, grave=grave))

    def rested(self, state: Stripping) -> None:
        self.moved(state, 0.0)
