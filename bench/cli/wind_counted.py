"""`turnproof wind` with a counter: it counts, and a person says the rest by single keys, by lines, or by foot."""

from __future__ import annotations

import json
import sys
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from bench.cli.key_line import KeyLine
from bench.cli.keys import keys_of_terminal
from bench.cli.stopping import StopsAndGoesOn
from bench.cli.typed_lines import TypedLines
from bench.cli.winding_panel import Panel
from bench.cli.winding_views import JsonView, TerminalView, interval_words
from bench.cli.wrapped import say
from bench.records.problem import RecordProblem
from bench.sitting.counted_winding import AskedWinding, CountedWinding, counted_winding
from bench.sitting.told import told_to
from bench.sitting.winding_record import WindingRecord
from bench.winding.orders import Act, Order, order_of
from bench.winding.sides import WindingObserver, WindingResult

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile

__all__ = ["Shown", "wind_counted"]


@dataclass(frozen=True)
class Shown:
    """How it is shown and heard of.  title: of the screen;  foot_key: what a foot switch sends that acts as a keyboard;
    typed: lines on the standard input, None where nobody reads them as orders."""

    as_json: bool
    title: str
    foot_key: str | None = None
    typed: TypedLines | None = None


def wind_counted(record: WindingRecord, bench: BenchFile, asked: AskedWinding, shown: Shown) -> WindingResult | None:
    """One go; the result where the winding is finished, None where it was left to go on later.

    Raises BadInput, InstrumentTrouble or RecordProblem, and KeyboardInterrupt once it is said what is kept.
    """
    with ExitStack() as screen:
        go = _Go(record, asked, shown, screen)
        try:
            with counted_winding(record, bench, asked, go.open, go.told, _warn) as winding:
                return go.run(winding)
        except KeyboardInterrupt:
            go.close()
            _said_kept(record, asked.winding.name, asked.target)
            raise


class _Go:
    """The loop: keys, lines and one view around a winding."""

    def __init__(self, record: WindingRecord, asked: AskedWinding, shown: Shown, screen: ExitStack) -> None:
        self._record, self._asked, self._shown, self._screen = record, asked, shown, screen
        self._keys: KeyLine | None = None
        self._panel: Panel | None = None
        self._stops: StopsAndGoesOn | None = None
        self._view: JsonView | TerminalView | Panel | None = None

    def open(self, greeting: str) -> tuple[WindingObserver, ...]:
        """The screen, once the counter is open; what it is told of the count."""
        live = sys.stdout.isatty() and not self._shown.as_json
        keys = keys_of_terminal() if live else None
        if keys is None:
            self._view = JsonView(sys.stdout) if self._shown.as_json else TerminalView(sys.stdout, live=live)
            return (self._view,)
        self._keys = KeyLine(keys, self._shown.foot_key)
        planned = None
        plan, name = self._asked.plan, self._asked.winding.name
        if plan is not None and any(one.name == name for one in plan.windings):
            planned = plan.winding(name)
        self._screen.callback(keys.close)
        self._panel = self._view = Panel(sys.stdout, self._asked.winding, planned, title=self._shown.title)
        self._screen.callback(self._panel.close)
        self._panel.open()
        self._screen.enter_context(told_to(self.told))
        self._panel.say(greeting)
        self._stops = StopsAndGoesOn((self.close, keys.close), (keys.again, self._panel.open))
        self._screen.callback(self._stops.close)
        return (self._panel,)

    def run(self, winding: CountedWinding) -> WindingResult | None:
        while not winding.over:
            winding.turn_over()
            if not winding.over:
                self._hear(winding)
            self._look()
        self.close()
        winding.close_go()
        if winding.ended is not None:
            self._view_of_lines().ended(winding.ended)
            self._say_what_is_left(winding.ended)
            return winding.ended
        if self._shown.as_json and winding.session.progress is not None:
            self._view_of_lines().ended(WindingResult(winding.session.progress, left=True))
        _said_kept(self._record, self._asked.winding.name, self._asked.target)
        return None

    def close(self) -> None:
        if self._panel is not None:
            self._panel.close()

    def told(self, words: str) -> None:
        if self._panel is not None:
            self._panel.say(words)
        elif self._shown.as_json:
            click.echo(json.dumps({"schema": 1, "said": words}))
        else:
            click.echo(words, err=True)

    def _say_what_is_left(self, ended: WindingResult) -> None:
        """What the target asks for, whole, and what was never said to be done."""
        if self._shown.as_json or ended.progress is None:
            return
        for mark in ended.progress.waiting:
            do = ": " + ", ".join(mark.do) if mark.do else ""
            say(f"  {'now' if mark.name == 'target' else 'not said to be done'}  {mark.name}{do}")

    def _view_of_lines(self) -> JsonView | TerminalView:
        if isinstance(self._view, (JsonView, TerminalView)):
            return self._view
        return TerminalView(sys.stdout, live=False)

    def _look(self) -> None:
        if self._stops is not None:
            self._stops.look()
        if isinstance(self._view, (TerminalView, Panel)):
            self._view.looked()

    def _hear(self, winding: CountedWinding) -> None:
        if self._keys is not None and self._panel is not None:
            for order in self._keys.orders():
                self._obey(winding, order)
            self._panel.prompt(self._keys.prompt)
            if self._keys.problem:
                self.told(self._keys.problem)
        elif self._shown.typed is not None:
            line = self._shown.typed.take()
            if line is not None:
                try:
                    self._obey(winding, order_of(line))
                except ValueError as problem:
                    self.told(str(problem))

    def _obey(self, winding: CountedWinding, order: Order) -> None:
        if order.act is Act.HELP and self._panel is not None and not winding.over:
            self._panel.toggle_help()
        else:
            winding.obey(order)


def _warn(words: str) -> None:
    click.echo(words, err=True)


def _said_kept(record: WindingRecord, winding: str, target: int) -> None:
    try:
        state = record.state
    except RecordProblem:  # why is said by whoever could not keep it
        return
    if state.begun and state.counted:
        sure = "" if state.low == state.high else f" ({interval_words(state.low, state.high, 2)})"
        # on a line of its own: the one that is written over ends without
        click.echo(f"\n{winding}: {state.turns:.2f} of {target} turns so far{sure}, kept", err=True)
