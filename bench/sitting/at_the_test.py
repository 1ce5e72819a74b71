"""One sitting at the acceptance test: meters open, what was read before recalled, the session ready to run."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.acceptance.session import Observer, TestSession, ask_for_value
from bench.records.entry import Kind
from bench.records.instrument_entry import keep_meter
from bench.records.kept_profiles import JUDGED_BY, kept_for_test
from bench.sitting.meters import Asked, asked_meters, meter_of, open_instrument
from bench.sitting.procedure_choice import chosen_procedure, read_before
from bench.sitting.sit_down import sit_down
from bench.sitting.winding_record import unfinished, wound
from bench.whole_test import equipment_of, procedure_for

if TYPE_CHECKING:
    from bench.acceptance.answering import Operator
    from bench.acceptance.instrument import Instrument
    from bench.acceptance.procedure import Procedure
    from bench.acceptance.watching import Patience
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job
    from bench.records.store import Store

__all__ = ["NOT_KEPT", "AskedTest", "at_the_test"]

NOT_KEPT = (
    "broken off before all was taken up again that was judged before: no result is kept of this sitting, the one "
    "before stands; the next `turnproof test` goes on"
)


@dataclass(frozen=True)
class AskedTest:
    """What was asked for.  meters: each as METER or ROLE=METER;  procedure: None for the one that is due;  reason: why
    a gate is gone past;  anew: begin, though one was broken off;  again: steps to be read once more;  how_anew: how to
    ask for that, for whoever is told that a test goes on."""

    meters: tuple[str, ...]
    procedure: str | None = None
    reason: str = ""
    anew: bool = False
    again: tuple[str, ...] = ()
    wire_log: Path | None = None
    how_anew: str = ""


def at_the_test(
    job: Job,
    job_file: Path,
    bench: BenchFile,
    store: Store,
    asked: AskedTest,
    operator: Callable[[Asked], tuple[Operator, Patience]],
    observers: Callable[[Procedure, Instrument], tuple[Observer, ...]],
    say: Callable[[str], None],
    things: ExitStack,
) -> TestSession:
    """operator: whoever does what is asked, with the patience for a meter on a line, once it is known which meters are
    meant;  observers: told what happens, once it is known what will;  say: what is worth knowing before it begins.

    Raises BadInput, InstrumentTrouble, NotEnough or RecordProblem.
    """
    number = job.identity.number
    entries = store.landmarks(number)
    wanted, rules = chosen_procedure(asked.procedure, entries)
    meters = asked_meters(bench, asked.meters)
    who, patience = operator(meters)
    hertz = None if job.supply is None else job.supply.frequency
    instrument = open_instrument(meters, things, lambda ask: ask_for_value(who, ask), patience, asked.wire_log, hertz)
    for winding in job.winding:
        begun = unfinished(store, number, winding.name)
        if begun is not None:
            say(f"{winding.name}: recorded at {begun:g} of {winding.turns} turns and never finished")
    workshop = bench.workshop.model_dump(exclude_defaults=True)
    text = job_file.read_text(encoding="utf-8")
    told = {"workshop": workshop} if workshop else {}
    store.append(number, Kind.JOB_FILE, {"file": job_file.name, "text": text, **told})
    for role, entry in meters.by_role.items():
        keep_meter(store, number, entry, meter_of(instrument, role), hertz, role)
    if asked.reason:
        store.append(number, Kind.NOTE, {"text": f"going past a gate because: {asked.reason}"})
    procedure = procedure_for(
        job, equipment_of(job, bench, instrument), rules, asked.reason,
        procedure=wanted, before=read_before(wanted, entries), wound=wound(store, job),
    )  # fmt: skip

    def said(words: str) -> None:
        say(f"{words} ({asked.how_anew})" if asked.how_anew else words)

    judged_by = {**kept_for_test(store, job, bench, wanted, rules), "past_a_gate_because": asked.reason}
    recall = sit_down(
        store, number, wanted.name, procedure.phases, said,
        anew=asked.anew, again=asked.again, told={JUDGED_BY: judged_by},
    )  # fmt: skip

    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(number, Kind(kind), body)

    return TestSession(procedure, who, instrument, keep, observers(procedure, instrument), recall=recall)
