"""`turnproof wind --counter hand`: turns typed layer by layer, or read off a machine that counts by itself."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.cli.winding_views import interval_words
from bench.sitting.typed_winding import TypedWinding, past_words, read_typed
from bench.sitting.winding_record import WindingRecord
from bench.winding.layers import LayerCount

if TYPE_CHECKING:
    from collections.abc import Callable

    from bench.design.plan import WindingPlan
    from bench.job.winding import Winding

__all__ = ["wind_typed"]

_HELP = "  84: turns of a layer that is full; -3: turns taken back; =412: what a machine's dial shows; q: leave, kept"


def wind_typed(
    record: WindingRecord,
    winding: Winding,
    target: int,
    plan: WindingPlan | None,
    ask: Callable[[str], str],
    *,
    as_json: bool,
) -> ExitStatus:
    """Layer by layer, each typed when it is full, a correction with its sign, `=412` for a dial that shows 412.

    DONE where the target is met, UNDECIDED where the input ended before.
    """
    go = TypedWinding(record, winding, target, plan)
    for words in go.said:
        click.echo(words, err=True)
    while not go.count.met:
        past = past_words(go.count)
        if past:
            click.echo(f"{winding.name}: {past}", err=True)
        try:
            text = ask(go.count.question() if go.count.by_dial else f"{go.count.question()}: ")
        except EOFError:
            _said_kept(go.count)
            return ExitStatus.UNDECIDED
        except KeyboardInterrupt:
            _said_kept(go.count)
            raise
        if text.strip().lower() in ("q", "quit"):
            _said_kept(go.count)
            return ExitStatus.UNDECIDED
        if text.strip().lower() in ("?", "help"):
            click.echo(_HELP, err=True)
            continue
        try:
            typed = read_typed(go.count, text)
        except ValueError as problem:
            click.echo(f"  {problem}", err=True)
            continue
        if typed.falls and not _sure(ask, go.count.turns, typed.after.turns):
            continue
        go.keep(typed)
        _said(go.count, as_json)
    low, high = go.finish()
    if low != high:
        words = interval_words(low, high, 1)
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
