"""`turnproof wind --counter hand`: turns typed layer by layer, or read off a machine that counts by itself."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.winding_views import interval_words
from bench.sitting.winding_record import WindingRecord
from bench.winding.bodies import bound
from bench.winding.course import Course
from bench.winding.layers import LayerCount, read_dial, read_layer, turns_words

if TYPE_CHECKING:
    from collections.abc import Callable

    from bench.job.winding import Winding

__all__ = ["wind_typed"]

_HELP = "  84: turns of a layer that is full; -3: turns taken back; =412: what a machine's dial shows; q: leave, kept"


def wind_typed(
    record: WindingRecord, winding: Winding, target: int, course: Course, ask: Callable[[str], str], *, as_json: bool
) -> ExitStatus:
    """Layer by layer, each typed when it is full, a correction with its sign, `=412` for a dial that shows 412.

    DONE where the target is met, UNDECIDED where the input ended before.
    """
    state = record.state
    count = LayerCount(winding, target, state.typed_layers, state.turns, state.by_dial)
    if state.counted and state.counter is not None:
        layer = course.layer_at(state.turns)
        count = LayerCount(winding, target, 0 if layer is None else layer[0] - 1, state.turns)
        click.echo(f"{winding.name}: going on from {count.turns:g} turns as counted", err=True)
    elif state.begun and (count.layers_done or count.turns):
        click.echo(f"{winding.name}: going on from {count.standing()}", err=True)
    greeting = record.begin(state, target, "hand")
    if greeting:
        click.echo(greeting, err=True)
    while not count.met:
        if count.turns > target:
            over = count.turns - target
            what = f"{turns_words(over)} past the target of {target}: take {'it' if over == 1 else 'them'} back"
            then = f"until the dial shows {target}" if count.by_dial else f"and type {-over:g}"
            click.echo(f"{winding.name}: {what} {then}", err=True)
        try:
            text = ask(count.question() if count.by_dial else f"{count.question()}: ")
        except EOFError:
            _said_kept(count)
            return ExitStatus.UNDECIDED
        except KeyboardInterrupt:
            _said_kept(count)
            raise
        if text.strip().lower() in ("q", "quit"):
            _said_kept(count)
            return ExitStatus.UNDECIDED
        if text.strip().lower() in ("?", "help"):
            click.echo(_HELP, err=True)
            continue
        try:
            dial = read_dial(f"={text}" if count.by_dial and not text.lstrip().startswith("=") else text)
            turns = read_layer(text, target, count.turns) if dial is None else dial - count.turns
            after = count.with_layer(turns) if dial is None else count.with_dial(dial)
            if dial is not None and dial < count.turns and not _sure(ask, count.turns, dial):
                continue
        except ValueError as problem:
            click.echo(f"  {problem}", err=True)
            continue
        count = after
        record.keep("layer", {"turns": turns, "total": count.turns, "text": text, "dial": dial is not None})
        _said(count, as_json)
    state = record.state
    record.keep(
        "winding done",
        {"turns": count.turns, "low": bound(state.low), "high": bound(state.high), "target": target,
         "layer_ends": list(state.layer_ends)},
    )  # fmt: skip
    if state.low != state.high:
        words = interval_words(state.low, state.high, 1)
        click.echo(f"{winding.name}: of what the counter counted it was not sure; the coil has {words} turns", err=True)
    return ExitStatus.DONE


def _said_kept(count: LayerCount) -> None:
    click.echo(f"\n{count.winding.name}: {count.turns:g} of {count.target} turns so far, kept", err=True)


def _sure(ask: Callable[[str], str], before: float, dial: float) -> bool:
    """A dial hardly falls by so much as it does where a digit slipped."""
    try:
        answer = ask(f"  {before:g} turns before, and the dial shows {dial:g}: did turns come off? [y/N] ")
    except EOFError:
        return False
    return answer.strip().lower() in ("y", "yes")


def _said(count: LayerCount, as_json: bool) -> None:
    if not as_json:
        click.echo(f"  {count.said()}")
        return
    said = {"winding": count.winding.name, "layer": count.layers_done, "turns": count.turns}
    interval = {"low": count.turns, "high": count.turns, "to_go": count.target - count.turns}
    click.echo(json.dumps({"schema": 1, **said, **interval}))
