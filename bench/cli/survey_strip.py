"""`turnproof survey JOB --strip WINDING`: the turns of a winding as it comes off, typed or by a counter."""

from __future__ import annotations

import math
import time
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.winding_views import AT_REST_AFTER
from bench.cli.wrapped import say
from bench.sitting.half_line import HalfLine
from bench.sitting.problems import BadInput
from bench.survey.stripping import Stripping

if TYPE_CHECKING:
    from bench.cli.survey_views import StripView
    from bench.cli.typed_lines import TypedLines
    from bench.job.bench_file import BenchFile
    from bench.records.store import Store
    from bench.survey.interval import Interval
    from drivers.counter import Counter
    from drivers.counting import Count

__all__ = ["Strip", "StripJob", "begin", "finish", "strip_in_goes"]

_SILENT_AFTER = 5.0
_WHOLE = ("done", "off", "whole")
_LEAVE = ("q", "quit", "stop")


@dataclass(frozen=True)
class Strip:
    """What was asked for.  start: turns off already;  rest: s that end a go;  done: the go's end is the winding's."""

    winding: str
    counter: str
    start: float | None
    rest: float | None
    done: bool
    again: bool
    wire_log: Path | None


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
        from bench.records.entry import Kind

        body = {"winding": self.name, "off": state.off, **fields, "stripping": state.as_saved()}
        self.store.append(self.number, Kind(kind), body)


def begin(
    store: Store, number: str, name: str, rules: dict[str, Any], expected: Interval | None, asked: Strip
) -> StripJob:
    """Where the winding stands; one that is recorded as off begins anew only with --again; raises BadInput.

    rules: the `count` table of profiles/limits/survey.
    """
    from bench.cli.survey_views import expected_json
    from bench.records.entry import Kind

    kinds = (Kind.STRIP_BEGUN, Kind.STRIP_COUNT, Kind.STRIP_GO, Kind.STRIPPED)
    entries = [one for one in store.entries(number) if one.kind in kinds and one.body.get("winding") == name]
    newest = entries[-1] if entries else None
    if newest is not None and newest.kind == Kind.STRIPPED and not asked.again:
        raise BadInput(
            f"{name}: is recorded as off with {newest.body['turns']:g} turns on {newest.at[:10]}; "
            "--again counts it anew"
        )
    if newest is None or asked.again:
        job = StripJob(store, number, rules, Stripping(name), {}, expected)
        job.keep(Kind.STRIP_BEGUN, job.state, expected=expected_json(expected))
    else:
        try:
            state = Stripping.from_saved(name, newest.body["stripping"])
        except (KeyError, ValueError) as problem:
            raise BadInput(f"{problem}; --again begins a new count") from None
        job = StripJob(store, number, rules, state, newest.body, expected)
        if state.goes and asked.start is None:
            click.echo(f"{name}: going on from {state.off:g} turns off as recorded", err=True)
    if asked.start is not None:
        job = replace(job, state=job.state.set_to(asked.start), last={})
        job.keep(Kind.STRIP_GO, job.state, turns=asked.start, how="--from")
    return job


def strip_in_goes(
    job: StripJob, keyboard: TypedLines, view: StripView, bench: BenchFile, asked: Strip
) -> tuple[Stripping, bool]:
    """Typed goes, or one go by a counter; the state, and whether the winding is off whole with a count that stands."""
    from bench.sitting.opening import HAND

    if asked.counter == HAND or any(one.name == asked.counter and one.use == HAND for one in bench.counter):
        state, whole = typed_goes(job, keyboard, view, done=asked.done)
    else:
        state, whole = counted_go(job, keyboard, view, bench, asked)
    if whole and not state.bounded:
        click.echo(f"{job.name}: the count is lost, say how many turns are off in all with --from TURNS", err=True)
        return state, False
    return state, whole


def finish(job: StripJob, state: Stripping) -> dict[str, Any]:
    """The entry that says that the winding is off, with its count; its body."""
    from bench.cli.survey_views import expected_json
    from bench.records.entry import Kind

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


def typed_goes(job: StripJob, keyboard: TypedLines, view: StripView, *, done: bool) -> tuple[Stripping, bool]:
    """Turns typed go by go, until done, q or the end of input; the state, and whether the winding is off whole.

    done: whether the end of input says so.
    """
    from bench.winding.layers import read_turns

    state = job.state.ended()
    while True:
        try:
            text = keyboard.ask(
                f"{job.name}, turns off in this go ({state.off:g} off so far; done = off whole, q = leave it so): "
            ).strip()
        except (EOFError, KeyboardInterrupt) as stop:
            click.echo("", err=True)
            if done and isinstance(stop, EOFError) and state.off > 0:
                return state, True
            said_kept(state)
            if isinstance(stop, KeyboardInterrupt):
                raise
            return state, False
        if text.lower() in _LEAVE:
            said_kept(state)
            return state, False
        if text.lower() in _WHOLE:
            if state.off > 0:
                return state, True
            say("  nothing came off yet; q leaves it so", err=True)
            continue
        if not text:
            continue
        try:
            turns = read_turns(text)
            state = state.with_typed(turns)
        except ValueError as problem:
            say(f"  {problem}, or done", err=True)
            continue
        job.keep("strip go", state, turns=turns, text=text, how="typed")
        view.moved(state, None)
        view.ended()


def counted_go(
    job: StripJob, keyboard: TypedLines, view: StripView, bench: BenchFile, asked: Strip
) -> tuple[Stripping, bool]:
    """One go by a counter, until Enter, the end of input, or rest; the state, and whether the winding is off whole."""
    from bench.sitting.opening import open_counter
    from bench.sitting.winding_record import WindingRecord
    from bench.sitting.wire_segments import new_segment, sealed

    record = WindingRecord(job.store, job.number, job.name)
    with (
        sealed(record),
        open_counter(bench, asked.counter, wire_log=asked.wire_log or new_segment(record)) as instrument,
    ):
        going_on = _taken_up(job, instrument)
        go = _Go(job, instrument, view, asked.counter, begun=going_on)
        by_itself = "" if asked.rest is None else f"; so do {asked.rest:g} s without a move"
        view.said(f"{asked.counter}: open; Enter ends this go{by_itself}")
        try:
            while not go.over(keyboard, asked.rest):
                go.look()
        except KeyboardInterrupt:
            click.echo("", err=True)
            said_kept(go.state)
            raise
    view.ended()
    state = go.state.ended()
    if go.begun and state.goes:
        job.keep("strip go", state, turns=state.off - job.state.off, low=_bound(state.low), high=_bound(state.high),
                 how="counter", counter_name=asked.counter)  # fmt: skip
    if not go.begun:
        click.echo(f"{asked.counter}: the go ended before the counter's first line", err=True)
    if not go.begun or state.off <= 0:
        closed = "; the input is closed: with --rest SECONDS a go ends by itself" if keyboard.at_end() else ""
        click.echo(f"{job.name}: nothing came off{closed}", err=True)
        return state, False
    if asked.done or (go.ended_by or "").strip().lower() in _WHOLE:
        return state, True
    return state, _off_whole(job, keyboard, state, asked=not keyboard.at_end())


def said_kept(state: Stripping) -> None:
    from bench.cli.survey_views import count_words

    click.echo(f"{state.winding}: {count_words(state)} off so far, kept", err=True)


def _off_whole(job: StripJob, keyboard: TypedLines, state: Stripping, *, asked: bool) -> bool:
    from bench.cli.survey_views import count_words

    if asked:
        with suppress(EOFError):
            answer = keyboard.ask(f"{job.name}: {count_words(state)} off. Is the winding off whole? [y/N] ")
            if answer.strip().lower() in ("y", "yes"):
                return True
    said_kept(state)
    return False


def _taken_up(job: StripJob, instrument: Counter) -> bool:
    """Go on in the go that was interrupted, with what the board counted meanwhile; else a new go, from zero."""
    saved = job.last.get("counter")
    if job.state.counting and saved is not None:
        try:
            instrument.restore(saved)
            return True
        except ValueError as problem:
            click.echo(
                f"{job.name}: {job.state.off:g} turns off are recorded from another counter ({problem}); what came off "
                "since then is not in it: say how many are off in all with --from TURNS",
                err=True,
            )
    instrument.set_count(0.0, "a go of stripping")
    return False


class _Go:
    """The polls of one go: what came is kept, then shown."""

    def __init__(self, job: StripJob, instrument: Counter, view: StripView, counter: str, *, begun: bool) -> None:
        self.state = job.state if begun else job.state.ended()
        self.begun = begun
        self._job = job
        self._instrument = instrument
        self._view = view
        self._counter = counter
        self.ended_by: str | None = None
        self._shown: tuple[float, float, float] | None = None
        self._still_since = time.monotonic()
        self._silent_at: float | None = self._still_since + _SILENT_AFTER
        self._sense = self.state.sense
        self._half_line = HalfLine()
        self._turning = False

    def over(self, keyboard: TypedLines, rest: float | None) -> bool:
        """Enter ends it, and rest where that is asked for; the end of input only where nothing else could."""
        if (
            rest is not None
            and self._shown is not None
            and time.monotonic() - self._still_since >= rest
            and self.state.off > 0
        ):
            return True
        self.ended_by = keyboard.take()
        return self.ended_by is not None or (rest is None and keyboard.at_end())

    def look(self) -> None:
        from bench.records.entry import Kind
        from bench.winding.bodies import event_object
        from drivers.counting import Count

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
            say(f"{self._counter}: {words}", err=True)
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
