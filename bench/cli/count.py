"""`turnproof count`: watch a turn counter, for whoever connects it for the first time."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.options import Finite
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from drivers.counter import Counter
    from drivers.counting import Count

__all__ = ["command"]

_SILENT_AFTER = 5.0


@click.command("count")
@click.argument("counter")
@click.option("--seconds", type=Finite(min=0.1), help="Stop after so many seconds; else with Ctrl-C.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the line in this file.")
@click.option("--json", "as_json", is_flag=True, help="JSON lines on stdout.")
def command(counter: str, seconds: float | None, bench_path: Path | None, wire_log: Path | None, as_json: bool) -> int:
    """Show the count of COUNTER as it changes, and whatever happens to its line.

    COUNTER is PROFILE@PORT such as hall@/dev/ttyACM0 or plain@/dev/ttyUSB1, the name of a counter in the bench file,
    or hand.
    """
    from bench.sitting.opening import HAND, open_bench_file, open_counter

    bench = open_bench_file(bench_path)
    if counter == HAND or any(e.name == counter and e.use == HAND for e in bench.counter):
        return _typed(as_json)
    with open_counter(bench, counter, wire_log=wire_log) as instrument:
        if not as_json:
            click.echo(f"{counter}: open; turn the spindle, Ctrl-C ends", err=True)
        _watch(instrument, seconds, as_json)
    return ExitStatus.DONE


def _watch(instrument: Counter, seconds: float | None, as_json: bool) -> None:
    from bench.cli.winding_views import event_words
    from bench.sitting.half_line import HalfLine
    from bench.winding.bodies import event_object
    from drivers.counting import BadLine, Count

    begun = heard = time.monotonic()
    shown: tuple[float, float, float] | None = None
    said_silent = told_bad = False
    half_line = HalfLine()
    while seconds is None or time.monotonic() - begun < seconds:
        heard_now = instrument.poll(0.1)
        events = half_line.without(heard_now)
        if heard_now:
            heard, said_silent = time.monotonic(), False
        elif time.monotonic() - heard > _SILENT_AFTER and not said_silent:
            said_silent = True
            click.echo(
                f"no line in {_SILENT_AFTER:.0f} s at {instrument.profile.line}: is it powered, is the rate right, "
                "does the profile match what the board sends?",
                err=True,
            )
        for event in events:
            if isinstance(event, Count):
                now = (event.turns, event.low, event.high)
                if now == shown:
                    continue
                shown, told_bad = now, False
                _count(event, as_json)
            elif as_json:
                click.echo(json.dumps({"schema": 1, **event_object(event)}))
            elif not (isinstance(event, BadLine) and told_bad):
                # With the wrong profile no line fits: once is enough until one does.
                told_bad = isinstance(event, BadLine)
                click.echo(f"   {event_words(event)}", err=True)


def _count(count: Count, as_json: bool) -> None:
    from bench.cli.winding_views import interval_words
    from bench.winding.bodies import bound

    if as_json:
        click.echo(
            json.dumps(
                {
                    "schema": 1,
                    "event": "Count",
                    "turns": count.turns,
                    "low": bound(count.low),
                    "high": bound(count.high),
                    "speed": round(count.speed, 3),
                    "raw": count.raw,
                }
            )
        )
        return
    interval = "" if count.certain else f"   {interval_words(count.low, count.high, 2)}"
    click.echo(f"{count.turns:10.2f} turns   {count.speed * 60:6.0f} rpm{interval}")


def _typed(as_json: bool) -> int:
    """Counts that a person types; a line each, until the end of input."""
    from bench.winding.layers import read_turns

    while True:
        try:
            text = click.prompt("turns", type=str, err=True)
        except click.Abort:
            return ExitStatus.DONE
        try:
            turns = read_turns(text)
        except ValueError as problem:
            raise BadInput(f"turns: {problem}") from None
        if as_json:
            click.echo(
                json.dumps({"schema": 1, "event": "Count", "turns": turns, "low": turns, "high": turns, "raw": text})
            )
        else:
            click.echo(f"{turns:10.2f} turns")
