"""`turnproof wind`: count a winding to its target, with a counter or with typed layer counts."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import BadInput, ExitStatus, InstrumentTrouble
from bench.cli.options import Finite

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile
    from bench.job.winding import Winding
    from bench.records.entry import Entry
    from bench.records.store import Store
    from drivers.counter import Counter

__all__ = ["command", "unfinished"]


@click.command("wind")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.argument("winding")
@click.option("--counter", required=True, help="PROFILE@PORT, a counter of the bench file, or hand.")
@click.option("--target", type=click.IntRange(min=1), help="Turns to wind to; else those of the job.")
@click.option("--rest", default=3.0, show_default=True, type=Finite(min=0.0),
              help="Seconds that the count must rest at the target.")  # fmt: skip
@click.option(
    "--from",
    "start",
    type=Finite(-100_000, 100_000),
    help="Turns that are on the former already, when no count is kept.",
)
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the line in this file.")
@click.option("--json", "as_json", is_flag=True, help="JSON lines on stdout.")
def command(
    job_file: Path,
    winding: str,
    counter: str,
    target: int | None,
    rest: float,
    start: float | None,
    bench_path: Path | None,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Count WINDING of JOB to its target; ends when the count rests there, and goes on where it was interrupted."""
    from bench.cli.names import expected_names, meant_name
    from bench.cli.opening import HAND, open_bench_file, open_job, open_store, take_job_lock
    from bench.records.entry import Kind
    from bench.records.store import RecordProblem

    job = open_job(job_file)
    names = [one.name for one in job.winding]
    meant = meant_name(winding, names)
    if meant is None:
        raise BadInput(f"{job_file}: winding {winding!r} is not in the job, {expected_names(winding, names)}")
    wanted = job.get_winding(meant)
    turns = target or wanted.turns
    if turns is None:
        raise BadInput(f"{job_file}: winding.{meant}.turns: missing, or give --target")
    bench = open_bench_file(bench_path)
    number = job.identity.number
    by_hand = counter == HAND or any(e.name == counter and e.use == HAND for e in bench.counter)
    with take_job_lock(job, "wind"), open_store() as store:
        try:
            store.append(number, Kind.JOB_FILE, {"file": job_file.name, "text": job_file.read_text(encoding="utf-8")})
            if by_hand:
                return _typed(store, number, wanted, turns, as_json)
            return _counted(store, number, wanted, turns, bench, counter, rest, start, wire_log, as_json)
        except RecordProblem as problem:
            raise InstrumentTrouble(str(problem)) from None


def _counted(
    store: Store,
    number: str,
    winding: Winding,
    target: int,
    bench: BenchFile,
    counter: str,
    rest: float,
    start: float | None,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    from bench.cli.opening import open_counter
    from bench.cli.winding_views import JsonView, TerminalView
    from bench.records.entry import Kind
    from bench.winding.session import WindingSession

    view = JsonView(sys.stdout) if as_json else TerminalView(sys.stdout, live=sys.stdout.isatty())
    with open_counter(bench, counter, wire_log=wire_log) as instrument:
        kept = _kept(store, number, winding.name)
        typed = _typed_since(store, number, winding.name)
        if start is not None:
            # A typed position, a correction: it stands from the first line on.
            store.append(number, Kind.CORRECTION, {"winding": winding.name, "turns": start, "reason": "--from"})
            instrument.set_count(start, "--from")
        elif typed is not None:
            # The last that is known was typed by hand: the counter takes over from there.
            store.append(number, Kind.CORRECTION, {"winding": winding.name, "turns": typed, "reason": "as typed"})
            instrument.set_count(typed, "as typed")
            click.echo(f"{winding.name}: going on from {typed:g} turns as typed", err=True)
        elif kept is not None:
            try:
                instrument.restore(kept["counter"])
            except ValueError as problem:
                raise BadInput(
                    f"{winding.name}: {kept['turns']:.2f} turns are recorded from another counter ({problem}); "
                    "say how many are on the former with --from TURNS"
                ) from None
            click.echo(f"{winding.name}: going on from {kept['turns']:.2f} turns as recorded", err=True)
        else:
            _said_anew(_done(store, number, winding.name), winding.name)
            instrument.set_count(0.0, "a new winding")

        def keep(kind: str, body: dict[str, Any]) -> None:
            store.append(number, Kind(kind), body)

        session = WindingSession(winding, target, _Heard(instrument), keep, (view,), rest=rest)
        patience = _Patience(counter, lambda: instrument.count is not None)

        def looked() -> bool:
            if isinstance(view, TerminalView):
                view.looked()
            return patience()

        try:
            result = session.run(looked)
        except KeyboardInterrupt:
            _said_kept(store, number, winding.name, target)
            raise
    view.ended(result)
    progress = result.progress
    assert progress is not None
    store.append(
        number,
        Kind.WINDING_DONE,
        {
            "winding": winding.name,
            "turns": progress.turns,
            "low": progress.low,
            "high": progress.high,
            "target": target,
        },
    )
    return ExitStatus.DONE


def _said_kept(store: Store, number: str, winding: str, target: int) -> None:
    kept = _kept(store, number, winding)
    if kept is not None:
        # on a line of its own: the one that is written over ends without
        click.echo(f"\n{winding}: {kept['turns']:.2f} of {target} turns so far, kept", err=True)


class _Heard:
    """A counter without the half line on which one begins to listen."""

    def __init__(self, counter: Counter) -> None:
        from bench.cli.first_line import HalfLine

        self._counter = counter
        self._half_line = HalfLine()

    def poll(self, timeout_s: float) -> Sequence[Any]:
        return self._half_line.without(self._counter.poll(timeout_s))

    def snapshot(self) -> dict[str, object] | None:
        return self._counter.snapshot()


class _Patience:
    """Says once that nothing was heard; never ends a winding by itself."""

    def __init__(self, counter: str, heard: Callable[[], bool], after: float = 5.0) -> None:
        self._counter = counter
        self._heard = heard
        self._due: float | None = time.monotonic() + after

    def __call__(self) -> bool:
        if self._due is not None and time.monotonic() > self._due:
            self._due = None
            if not self._heard():
                click.echo(f"{self._counter}: no line yet; is the board powered, does the profile match it?", err=True)
        return False


def _done(store: Store, number: str, winding: str) -> Entry | None:
    """The entry that says that this winding was finished, the last time that it was."""
    from bench.records.entry import Kind

    done = [e for e in store.entries(number, Kind.WINDING_DONE) if e.body["winding"] == winding]
    return done[-1] if done else None


def _said_anew(done: Entry | None, winding: str) -> None:
    if done is not None:
        click.echo(
            f"{winding}: was done on {done.at[:10]} with {done.body['turns']:g} turns; a new one from 0", err=True
        )


def _kept(store: Store, number: str, winding: str) -> dict[str, Any] | None:
    """The last count of this winding, unless it was finished."""
    from bench.records.entry import Kind

    done = _done(store, number, winding)
    counts = [e for e in store.entries(number, Kind.COUNT) if e.body["winding"] == winding and e.body.get("counter")]
    if not counts or (done is not None and done.seq > counts[-1].seq):
        return None
    return counts[-1].body


def _typed_since(store: Store, number: str, winding: str) -> float | None:
    """Turns on the former where they were typed after the last count of an unfinished winding; None where not."""
    from bench.records.entry import Kind

    done = _done(store, number, winding)
    since = 0 if done is None else done.seq
    layers = [e for e in store.entries(number, Kind.LAYER) if e.body["winding"] == winding and e.seq > since]
    counts = [e for e in store.entries(number, Kind.COUNT) if e.body["winding"] == winding and e.seq > since]
    if not layers or (counts and counts[-1].seq > layers[-1].seq):
        return None
    return float(sum(entry.body["turns"] for entry in layers))


def unfinished(store: Store, number: str, winding: str) -> float | None:
    """Turns at which a winding was left; None where it was finished or never begun."""
    typed = _typed_since(store, number, winding)
    if typed is not None:
        return typed
    kept = _kept(store, number, winding)
    return None if kept is None else float(kept["turns"])


def _typed(store: Store, number: str, winding: Winding, target: int, as_json: bool) -> int:
    """Layer by layer, each typed when it is full; a correction is typed with its sign."""
    from bench.records.entry import Kind
    from bench.winding.layers import LayerCount, read_layer, turns_words

    count = LayerCount(winding, target)
    done = _done(store, number, winding.name)
    for entry in store.entries(number, Kind.LAYER):
        if entry.body["winding"] == winding.name and (done is None or entry.seq > done.seq):
            count = count.with_layer(entry.body["turns"])
    kept = _kept(store, number, winding.name)
    if kept is not None and _typed_since(store, number, winding.name) is None and kept["turns"] > count.turns:
        # A counter counted last: what it saw beyond the typed layers stands as one more entry.
        beyond = float(kept["turns"]) - count.turns
        store.append(number, Kind.LAYER, {"winding": winding.name, "turns": beyond, "text": "as counted"})
        count = count.with_layer(beyond)
        click.echo(f"{winding.name}: going on from {count.turns:g} turns as counted", err=True)
    elif count.layers_done:
        click.echo(f"{winding.name}: going on from {count.standing()}", err=True)
    else:
        _said_anew(done, winding.name)
    while not count.met:
        if count.turns > target:
            over = count.turns - target
            what = f"{turns_words(over)} past the target of {target}: take {'it' if over == 1 else 'them'} back"
            click.echo(f"{winding.name}: {what} and type {-over:g}", err=True)
        try:
            text = click.prompt(count.question(), type=str, err=as_json)
        except click.Abort:
            click.echo(f"\n{winding.name}: {count.turns:g} of {target} turns so far, kept", err=True)
            return ExitStatus.UNDECIDED
        try:
            turns = read_layer(text, target, count.turns)
            count = count.with_layer(turns)
        except ValueError as problem:
            click.echo(f"  {problem}", err=True)
            continue
        store.append(number, Kind.LAYER, {"winding": winding.name, "turns": turns, "text": text})
        if as_json:
            said = {"winding": winding.name, "layer": count.layers_done, "turns": count.turns}
            interval = {"low": count.turns, "high": count.turns, "to_go": target - count.turns}
            click.echo(json.dumps({"schema": 1, **said, **interval}))
        else:
            click.echo(f"  {count.said()}")
    store.append(
        number,
        Kind.WINDING_DONE,
        {"winding": winding.name, "turns": count.turns, "low": count.turns, "high": count.turns, "target": target},
    )
    return ExitStatus.DONE
