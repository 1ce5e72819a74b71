"""`turnproof survey JOB --strip WINDING`: the turns of a winding as it comes off, typed or by a counter."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.wrapped import say
from bench.sitting import coming_off
from bench.sitting.coming_off import typed_go

if TYPE_CHECKING:
    from bench.cli.survey_views import StripView
    from bench.cli.typed_lines import TypedLines
    from bench.job.bench_file import BenchFile
    from bench.sitting.coming_off import StripJob
    from bench.survey.stripping import Stripping

__all__ = ["Strip", "strip_in_goes"]

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


def typed_goes(job: StripJob, keyboard: TypedLines, view: StripView, *, done: bool) -> tuple[Stripping, bool]:
    """Turns typed go by go, until done, q or the end of input; the state, and whether the winding is off whole.

    done: whether the end of input says so.
    """
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
            state = typed_go(job, state, text)
        except ValueError as problem:
            say(f"  {problem}, or done", err=True)
            continue
        view.moved(state, None)
        view.ended()


def counted_go(
    job: StripJob, keyboard: TypedLines, view: StripView, bench: BenchFile, asked: Strip
) -> tuple[Stripping, bool]:
    """One go by a counter, until Enter, the end of input, or rest; the state, and whether the winding is off whole."""
    ended_by = None
    with coming_off.counted_go(job, bench, asked.counter, view, _told, wire_log=asked.wire_log) as go:
        by_itself = "" if asked.rest is None else f"; so do {asked.rest:g} s without a move"
        view.said(f"{asked.counter}: open; Enter ends this go{by_itself}")
        try:
            # Enter ends it, and rest where that is asked for; the end of input only where nothing else could.
            while not go.rests(asked.rest):
                ended_by = keyboard.take()
                if ended_by is not None or (asked.rest is None and keyboard.at_end()):
                    break
                go.look()
        except KeyboardInterrupt:
            click.echo("", err=True)
            said_kept(go.state)
            raise
    view.ended()
    state = go.closed()
    if not go.begun:
        click.echo(f"{asked.counter}: the go ended before the counter's first line", err=True)
    if not go.begun or state.off <= 0:
        closed = "; the input is closed: with --rest SECONDS a go ends by itself" if keyboard.at_end() else ""
        click.echo(f"{job.name}: nothing came off{closed}", err=True)
        return state, False
    if asked.done or (ended_by or "").strip().lower() in _WHOLE:
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


def _told(line: str) -> None:
    say(line, err=True)
