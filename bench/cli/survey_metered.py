"""`turnproof survey JOB --read --meter PROFILE@PORT`: the readings as found through a meter, asked of an operator."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

import click

from bench.acceptance.answering import Answering, Keep, Operator, Watcher
from bench.acceptance.instrument import Instrument, MeterInstrument
from bench.acceptance.requests import Request, StepDone, Take
from bench.acceptance.watching import MACHINE
from bench.cli.live_line import LiveLine
from bench.job.as_found import AsFound, FoundWinding
from bench.job.model import Job
from bench.job.winding import Role, Tap, Winding
from bench.sitting.problems import BadInput
from bench.survey.gathered import AS_FOUND
from bench.survey.reading import AsFoundReading, ReadingDone, ReadingSummary
from bench.survey.reading_context import Kept, ReadingContext
from drivers.reading import Reading

if TYPE_CHECKING:
    from bench.job.bench_file import BenchFile, MeterEntry
    from bench.records.store import Store
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["AsFoundSession", "AsFoundView", "Metered", "read_by_meter", "summary_lines"]


@dataclass(frozen=True)
class Metered:
    """What the command line asked for."""

    entry: MeterEntry
    operator: str
    go_on_because: str
    wire_log: Path | None
    as_json: bool

    @property
    def by_machine(self) -> bool:
        """Whether standard output carries JSON lines."""
        return self.as_json or self.operator == "json"


class AsFoundSession:
    """One reading from the first caution to its summary; what is read is kept as it comes."""

    def __init__(
        self,
        reading: AsFoundReading,
        operator: Operator,
        instrument: Instrument,
        keep: Keep,
        view: AsFoundView | None = None,
    ) -> None:
        self._reading = reading
        self._operator = operator
        self._keep = keep
        self._view = view
        watchers: tuple[Watcher, ...] = () if view is None else (view,)
        self._answering = Answering(operator, instrument, keep, watchers)

    def run(self) -> ReadingSummary:
        """Walk the machine to its end; raises what the record or a reader raises, once the volts are off."""
        request = self._reading.start()
        try:
            while not isinstance(request, ReadingDone):
                request = self._reading.feed(self._answer(request))
        except Exception:
            # Nothing more can be kept, and still the unit is not left live for that.
            off = self._reading.to_zero()
            if off is not None:
                with contextlib.suppress(Exception):
                    self._operator.ask(off)
            raise
        return request.summary

    def _answer(self, request: Request) -> Any:
        if not isinstance(request, StepDone):
            return self._answering.answer(request)
        assert isinstance(request.result, Kept)
        self._keep(request.result.kind, request.result.body)
        if self._view is not None:
            self._view.kept(request.result)
        return None


class AsFoundView:
    """Readings, and what is kept of them, as they come: lines for a person, or JSON lines."""

    def __init__(self, out: TextIO, *, as_json: bool) -> None:
        self._out = out
        self._json = as_json
        self._live = LiveLine(out, as_json=as_json)

    def asked(self, request: Request) -> None:
        """The operator shows what is asked."""
        if isinstance(request, Take):
            self._live.reads(request.quantity)

    def settling(self, step: str, value: float | None, state_words: str) -> None:
        self._live.show(step.removeprefix("found:"), value, state_words)

    def reading_taken(self, step: str, reading: Reading) -> None:
        from bench.acceptance.answering import reading_object
        from bench.quantities import show

        if self._json:
            self._write(json.dumps({"schema": 1, "reading": {"step": step, **reading_object(reading)}}))
        else:
            value = str(reading.state) if reading.value is None else show(reading.value, reading.unit, 5)
            self._write(f"    {step.removeprefix('found:')}: {reading.quantity} {value}")

    def kept(self, one: Kept) -> None:
        """A person saw the reading; what it means stands at the end."""
        if self._json:
            key = "as_found" if one.kind == AS_FOUND else one.kind
            self._write(json.dumps({"schema": 1, key: one.body}))
        elif one.kind != AS_FOUND:
            self._write(f"  {one.body['text']}")

    def _write(self, line: str) -> None:
        self._live.end()
        self._out.write(line + "\n")
        self._out.flush()


def read_by_meter(
    job: Job, store: Store, bench: BenchFile, rules: dict[str, Any], known: Callable[[], KnownSoFar], asked: Metered
) -> ReadingSummary:
    """Open operator and meter, and read; raises BadInput, InstrumentTrouble or RecordProblem."""
    from bench.cli.at_the_bench import open_operator, patience_with
    from bench.cli.typed_lines import TypedLines
    from bench.records.entry import Kind
    from bench.records.instrument_entry import keep_meter
    from bench.sitting.opening import open_meter

    number = job.identity.number

    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(number, Kind(kind), body)

    keyboard = TypedLines(sys.stdin, prompts_on_stderr=asked.by_machine) if asked.operator == "terminal" else None
    _need_a_supply(job, known().gathered.found)
    with ExitStack() as open_things:
        if keyboard is not None:
            _name_windings(keyboard, keep, known, rules, asked)
        found = known().gathered.found
        if not any(not one.search_coil for one in found.winding):
            raise BadInput(f"job {number}: no windings as found yet, expected [[as_found.winding]] in the job file")
        read = None if keyboard is None else keyboard.ask
        patience = patience_with(asked.operator)
        marked = _marked(job, found)
        keyless = patience is not MACHINE
        operator = open_operator(asked.operator, marked, asked.as_json, open_things, read, keyless=keyless)
        hertz = _hertz(job, found)
        opened = open_things.enter_context(open_meter(asked.entry, wire_log=asked.wire_log, hertz=hertz))
        instrument = MeterInstrument(opened, patience)
        keep_meter(store, number, asked.entry, instrument, hertz)
        if asked.go_on_because:
            keep(Kind.NOTE, {"text": f"going past the insulation gate because: {asked.go_on_because}"})
        context = _context(job, found, bench, rules, instrument)
        view = None if asked.by_machine and not asked.as_json else AsFoundView(sys.stdout, as_json=asked.as_json)
        try:
            return AsFoundSession(AsFoundReading(context, asked.go_on_because), operator, instrument, keep, view).run()
        except KeyboardInterrupt:
            click.echo("\nvolts to zero and unplug before you touch the unit; what was read is kept", err=True)
            raise


def summary_lines(summary: ReadingSummary) -> list[str]:
    """What was not read and why, for a person."""
    lines = [f"not read: {one.what}: {one.reason}" for one in summary.not_read if one.reason != summary.ended]
    if summary.ended:
        lines.append(f"{summary.ended}; what was read is kept")
    return lines


def _context(
    job: Job, found: AsFound, bench: BenchFile, rules: dict[str, Any], instrument: Instrument
) -> ReadingContext:
    from bench.whole_test import equipment_of

    context = ReadingContext(
        job,
        found,
        equipment_of(job, bench, instrument),
        rules,
        hertz=_hertz(job, found),
        insulation={one.winding: one.resistance for one in found.insulation},
        ohms={one.winding: one.resistance.value for one in found.resistance},
    )
    context.tester = bench.insulation_test_voltage or context.tester
    if bench.resistor is not None and bench.resistor.power is not None:
        context.resistor_watts = bench.resistor.power
    return context


def _need_a_supply(job: Job, found: AsFound) -> None:
    if job.supply is None and found.frequency is None:
        raise BadInput(
            f"job {job.identity.number}: supply: missing, expected the voltage and frequency of the mains that feeds "
            "the bench"
        )


def _hertz(job: Job, found: AsFound) -> float:
    """Of today's mains: the job's supply, else that of the readings which the file has."""
    if job.supply is not None:
        return job.supply.frequency
    assert found.frequency is not None
    return found.frequency


def _name_windings(
    keyboard: Any, keep: Keep, known: Callable[[], KnownSoFar], rules: dict[str, Any], asked: Metered
) -> None:
    """At a terminal the windings can be typed first, where the job file names none."""
    from bench.cli.survey_read import AsFoundReader, Stopped

    reader = AsFoundReader(
        keyboard,
        lambda line: click.echo(line, err=asked.as_json),
        keep,
        known,
        float(rules["insulation"]["refuse_ohm"]),
        asked.entry.name,
    )
    with contextlib.suppress(Stopped):
        reader.name_windings()


def _marked(job: Job, found: AsFound) -> Job:
    """A job whose windings carry the marks of the leads as found: those of the new windings are other ones."""
    return job.model_copy(update={"winding": tuple(_marks(one) for one in found.winding), "screen": ()})


def _marks(one: FoundWinding) -> Winding:
    role = one.role or Role.SECONDARY
    # The turns of taps are counted later: here they only need an order.
    taps = tuple(Tap(name=tap.name, turn=n, lead=tap.lead) for n, tap in enumerate(one.taps, start=1))
    return Winding(name=one.name, role=role, taps=taps, start=one.start, finish=one.finish)
