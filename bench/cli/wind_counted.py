"""`turnproof wind` with a counter: it counts, and a person says the rest by single keys, by lines, or by foot."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.first_line import HalfLine
from bench.cli.key_line import KeyLine
from bench.cli.keys import keys_of_terminal
from bench.cli.stopping import StopsAndGoesOn
from bench.cli.typed_lines import TypedLines
from bench.cli.wind_alerts import Alerts
from bench.cli.winding_panel import Panel
from bench.cli.winding_views import JsonView, TerminalView, interval_words
from bench.cli.wrapped import say
from bench.records.problem import RecordProblem
from bench.sitting.taking_up import may_be_others, take_up
from bench.sitting.winding_record import WindingRecord
from bench.sitting.wire_segments import new_segment, sealed
from bench.winding.course import Course, course_of
from bench.winding.orders import Act, Order, carried_out, order_of
from bench.winding.session import WindingSession
from bench.winding.sides import WindingResult

if TYPE_CHECKING:
    from bench.design.plan import WindingPlan
    from bench.job.bench_file import BenchFile
    from bench.job.winding import Winding
    from drivers.counter import Counter
    from drivers.counting import Count
    from drivers.foot_switch import FootSwitch

__all__ = ["CountedGo", "wind_counted"]

_WARN_BOARD = 10.0
_FIRST_LINE_S = 5.0
_SILENT_S = 3.0


@dataclass(frozen=True)
class CountedGo:
    """What was asked for.  rest: s at the target that end it;  start: turns that are on already;  speak: every so many
    turns, None for never;  title: of the screen;  foot_key: what a foot switch sends that acts as a keyboard;
    typed: lines on the standard input, None where nobody reads them as orders."""

    counter: str
    rest: float
    start: float | None
    wire_log: Path | None
    as_json: bool
    sounds: bool
    speak: int | None
    title: str
    foot_key: str | None = None
    typed: TypedLines | None = None


def wind_counted(
    record: WindingRecord, winding: Winding, target: int, plan: WindingPlan | None, bench: BenchFile, asked: CountedGo
) -> WindingResult | None:
    """One go; the result where the winding is finished, None where it was left to go on later.

    Raises BadInput, InstrumentTrouble or RecordProblem, and KeyboardInterrupt once it is said what is kept.
    """
    from bench.sitting.opening import open_counter

    state = record.state
    segment = asked.wire_log or new_segment(record)
    with ExitStack() as things:
        things.enter_context(sealed(record))
        instrument = things.enter_context(open_counter(bench, asked.counter, wire_log=segment))
        taken_up, greeting = take_up(record, instrument, state, asked.start)
        begun = record.begin(taken_up, target, asked.counter)
        for words in filter(None, (greeting, begun)):
            click.echo(words, err=True)
        greeting = begun or greeting
        asks = state.counter is not None and asked.start is None and may_be_others(record, state)
        go = _Go(record, winding, target, plan, instrument, asked, things, greeting, asks)
        foot = _foot_switch(bench, things)
        instrument.aim(target, _WARN_BOARD)
        try:
            return go.run(foot)
        except KeyboardInterrupt:
            go.close()
            with suppress(RecordProblem):
                record.keep("winding go", {"left": True})
            _said_kept(record, winding.name, target)
            raise


class _Source:
    """A counter without the half line on which one begins to listen."""

    def __init__(self, counter: Counter) -> None:
        self._counter = counter
        self._half_line = HalfLine()

    def poll(self, timeout_s: float) -> Sequence[Any]:
        return self._half_line.without(self._counter.poll(timeout_s))

    @property
    def count(self) -> Count | None:
        return self._counter.count

    def __getattr__(self, name: str) -> Any:
        return getattr(self._counter, name)


class _Go:
    """The loop: counts, keys, lines, foot; one view and what is heard."""

    def __init__(
        self,
        record: WindingRecord,
        winding: Winding,
        target: int,
        plan: WindingPlan | None,
        instrument: Counter,
        asked: CountedGo,
        things: ExitStack,
        greeting: str,
        asks_of_travel: bool,
    ) -> None:
        self._record, self._winding, self._target = record, winding, target
        self._instrument, self._asked = instrument, asked
        planned = None
        if plan is not None and any(one.name == winding.name for one in plan.windings):
            planned = plan.winding(winding.name)
        live = sys.stdout.isatty() and not asked.as_json
        keys = keys_of_terminal() if live else None
        self._keys = None if keys is None else KeyLine(keys, asked.foot_key)
        self._panel: Panel | None = None
        self._stops: StopsAndGoesOn | None = None
        view: JsonView | TerminalView | Panel
        if keys is not None:
            things.callback(keys.close)
            self._panel = Panel(sys.stdout, winding, planned, title=asked.title)
            things.callback(self._panel.close)
            self._panel.open()
            self._panel.say(greeting)
            self._stops = StopsAndGoesOn((self.close, keys.close), (keys.again, self._panel.open))
            things.callback(self._stops.close)
            view = self._panel
        else:
            view = JsonView(sys.stdout) if asked.as_json else TerminalView(sys.stdout, live=live)
        self._view = view
        self._typed = asked.typed if keys is None else None
        self._alerts = Alerts(self._told, sounds=asked.sounds and not asked.as_json, speak=asked.speak)
        things.callback(self._alerts.close)

        def course(ends: tuple[float, ...]) -> Course:
            return course_of(winding, target, plan, ends)

        self.session = WindingSession(
            winding,
            target,
            _Source(instrument),
            record.keep,
            (view, self._alerts),
            rest=asked.rest,
            course=course,
            state=record.state,
            asks_of_travel=asks_of_travel,
        )
        self._patience = _Patience(asked.counter, self._told, instrument.sends_at_rest)
        self._ended: WindingResult | None = None
        self._left = False
        self._log_told = self._foot_told = self._board_told = False

    def run(self, foot: FootSwitch | None) -> WindingResult | None:
        while not self._left and self._ended is None:
            over = self.session.turn_over()
            self._patience.listening(self._instrument.listening, self.session.heard)
            self._hear(foot)
            self._look()
            if over and not self._left and self._ended is None:
                self._ended = self.session.finish()
        self.close()
        if self._ended is not None:
            self._alerts.done()
            self._view_of_lines().ended(self._ended)
            self._say_what_is_left()
        else:
            self._record.keep("winding go", {"left": True})
            if self._asked.as_json and self.session.progress is not None:
                self._view_of_lines().ended(WindingResult(self.session.progress, left=True))
            _said_kept(self._record, self._winding.name, self._target)
        return self._ended

    def _say_what_is_left(self) -> None:
        """What the target asks for, whole, and what was never said to be done."""
        if self._asked.as_json or self._ended is None or self._ended.progress is None:
            return
        for mark in self._ended.progress.waiting:
            do = ": " + ", ".join(mark.do) if mark.do else ""
            say(f"  {'now' if mark.name == 'target' else 'not said to be done'}  {mark.name}{do}")

    def close(self) -> None:
        if self._panel is not None:
            self._panel.close()

    def _view_of_lines(self) -> JsonView | TerminalView:
        if isinstance(self._view, Panel):
            return TerminalView(sys.stdout, live=False)
        return self._view

    def _look(self) -> None:
        if self._stops is not None:
            self._stops.look()
        if isinstance(self._view, (TerminalView, Panel)):
            self._view.looked()
        self._alerts.looked()
        self._patience()
        if self._instrument.board_knows_aim and not self._board_told:
            self._board_told = True
            self._told("the board knows the target: it warns, and lets the winder stop, by itself")
        problem = self._instrument.log_problem
        if problem and not self._log_told:
            self._log_told = True
            self._told(f"the counter's lines can't be kept any more ({problem}); the count goes on")

    def _hear(self, foot: FootSwitch | None) -> None:
        if foot is not None:
            for _ in range(foot.pressed()):
                self._obey(Order(Act.NEXT))
            if foot.lost is not None and not self._foot_told:
                self._told(f"foot switch: {foot.lost}; it is looked for")
            self._foot_told = foot.lost is not None
        if self._keys is not None and self._panel is not None:
            for order in self._keys.orders():
                self._obey(order)
            self._panel.prompt(self._keys.prompt)
            if self._keys.problem:
                self._told(self._keys.problem)
        elif self._typed is not None:
            line = self._typed.take()
            if line is not None:
                try:
                    self._obey(order_of(line))
                except ValueError as problem:
                    self._told(str(problem))

    def _obey(self, order: Order) -> None:
        if self._left or self._ended is not None:
            return  # what was pressed after the end is for nobody
        match order.act:
            case Act.LEAVE:
                self._left = True
            case Act.HELP:
                if self._panel is not None:
                    self._panel.toggle_help()
                else:
                    self._told("orders: " + ", ".join(act for act in Act if act is not Act.SOUND))
            case Act.NOTE:
                if order.text:
                    self._record.keep("note", {"text": order.text})
                    self._told(f"noted: {order.text}")
            case Act.SAY:
                self._alerts.say_count()
            case Act.SOUND:
                self._told("sounds on" if self._alerts.toggle_sounds() else "sounds off")
            case Act.END:
                self._end(order)
            case _:
                try:
                    self._told(carried_out(self.session, order))
                except ValueError as problem:
                    self._told(str(problem))

    def _end(self, order: Order) -> None:
        progress = self.session.progress
        if progress is None:
            self._told("no count yet, expected a line of the counter first")
        elif not order.text and not WindingResult(progress).met:
            self._told("not at its target: say why it ends here, such as: end no more room")
        else:
            self._ended = self.session.finish(order.text)

    def _told(self, words: str) -> None:
        if self._panel is not None:
            self._panel.say(words)
        elif self._asked.as_json:
            click.echo(json.dumps({"schema": 1, "said": words}))
        else:
            click.echo(words, err=True)


class _Patience:
    """Says once that nothing was heard, for a while or at all; never ends a winding by itself."""

    def __init__(self, counter: str, tell: Callable[[str], None], talks_at_rest: bool) -> None:
        self._counter = counter
        self._tell = tell
        self._talks_at_rest = talks_at_rest
        self._since = time.monotonic()
        self._heard = 0
        self._told = False

    def listening(self, line_is_open: bool, heard: int) -> None:
        """heard: counts so far."""
        if heard != self._heard or (not line_is_open and self._heard):
            self._since, self._heard, self._told = time.monotonic(), heard, False

    def __call__(self) -> None:
        if self._told or time.monotonic() - self._since < (_FIRST_LINE_S if not self._heard else _SILENT_S):
            return
        if not self._heard:
            self._told = True
            self._tell(f"{self._counter}: no line yet; is the board powered, does the profile match it?")
        elif self._talks_at_rest:
            self._told = True
            self._tell(
                f"{self._counter}: silent for {_SILENT_S:.0f} s: is the board powered? The count shown is its last"
            )


def _foot_switch(bench: BenchFile, things: ExitStack) -> FootSwitch | None:
    """The foot switch of the bench file, where it is a serial line; one that isn't there is told and done without."""
    entry = bench.foot_switch
    if entry is None or entry.port is None:
        return None
    from drivers.errors import DriverError
    from drivers.foot_switch import FootSwitch, SwitchLine

    try:
        return things.enter_context(FootSwitch(entry.port, SwitchLine(entry.line)))
    except DriverError as problem:
        click.echo(f"foot switch: {problem}; going on without it", err=True)
        return None


def _said_kept(record: WindingRecord, winding: str, target: int) -> None:
    try:
        state = record.state
    except RecordProblem:  # why is said by whoever could not keep it
        return
    if state.begun and state.counted:
        sure = "" if state.low == state.high else f" ({interval_words(state.low, state.high, 2)})"
        # on a line of its own: the one that is written over ends without
        click.echo(f"\n{winding}: {state.turns:.2f} of {target} turns so far{sure}, kept", err=True)
