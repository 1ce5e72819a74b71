"""`turnproof test`: take a rewound unit through the acceptance test."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus, of_verdict
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.acceptance.answering import Operator
    from bench.acceptance.instrument import Instrument
    from bench.acceptance.procedure import Procedure
    from bench.acceptance.session import Observer
    from bench.acceptance.watching import Patience
    from bench.job.bench_file import BenchFile
    from bench.job.model import Job
    from bench.records.store import Store
    from bench.sitting.meters import Asked

__all__ = ["command"]


@click.command("test")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option(
    "--meter",
    "meters",
    multiple=True,
    metavar="[ROLE=]METER",
    help="PROFILE@PORT, a meter of the bench file, or hand; once for each of volts=, amps=, ohms= for several at once.",
)
@click.option("--procedure", "procedure_name", metavar="NAME|FILE", help="before-varnish, after-varnish, in-equipment, "
              "or a file; else the one that is due by the record.")  # fmt: skip
@click.option("--plan", is_flag=True, help="Print what would be asked, fed and ruled out; do nothing.")
@click.option("--operator", default="terminal", show_default=True, help="terminal, json, or rehearsal@PORT.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option(
    "--certificate", type=click.Path(path_type=Path), help="Write the certificate here: FILE.pdf, or FILE.html."
)
@click.option("--because", default="", metavar="REASON", help="Why a certificate that was given before is amended.")
@click.option("--go-on-because", default="", metavar="REASON", help="Go past a gate; the reason is recorded.")
@click.option("--anew", is_flag=True, help="Begin a new test, though one was broken off.")
@click.option("--again", multiple=True, metavar="STEP", help="Read a step once more; the rest stands as it was read.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the meter's line in this file.")
@click.option("--json", "as_json", is_flag=True, help="JSON lines on stdout, the result last.")
def command(
    job_file: Path,
    meters: tuple[str, ...],
    procedure_name: str | None,
    plan: bool,
    operator: str,
    bench_path: Path | None,
    certificate: Path | None,
    because: str,
    go_on_because: str,
    anew: bool,
    again: tuple[str, ...],
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Test the rewound unit of JOB, step by step in the order of least risk, and judge it.

    What was broken off goes on where it was: nothing that was read or typed is asked for again.
    """
    from bench.design.expected import NotEnough, needs_for_test
    from bench.records.problem import RecordProblem
    from bench.sitting.certificate_file import known_form
    from bench.sitting.opening import open_bench_file, open_job, open_store, take_job_lock

    job = open_job(job_file)
    needs = needs_for_test(job)
    if needs:
        raise BadInput("\n".join(f"{job_file}: {need}: missing, the test needs it" for need in needs))
    bench = open_bench_file(bench_path)
    if plan:
        return _plan(job, job_file, bench, meters, procedure_name, as_json)
    if not meters:
        raise click.UsageError("Missing option '--meter': PROFILE@PORT, a meter of the bench file, or hand")
    if certificate is not None:
        _must_be_writable(known_form(certificate))
    elif because:
        raise BadInput("--because: expected with --certificate")
    with take_job_lock(job, "test"), open_store() as store:
        try:
            if certificate is not None:
                _must_have_reason(store, job.identity.number, because, operator)
            return _run(
                job,
                job_file,
                bench,
                store,
                meters,
                procedure_name,
                operator,
                (certificate, because),
                go_on_because,
                (anew, again),
                wire_log,
                as_json,
            )
        except NotEnough as problem:
            raise BadInput(f"{job_file}: {problem}") from None
        except RecordProblem as problem:
            raise InstrumentTrouble(str(problem)) from None


def _must_be_writable(path: Path) -> None:
    """Found out before the test, which takes an evening, and not after it; leaves nothing behind."""
    if path.exists():
        raise BadInput(f"--certificate {path}: is there already, expected another name")
    try:
        path.open("a").close()
    except OSError as problem:
        raise BadInput(f"--certificate {path}: can't be written: {problem.strerror}") from None
    path.unlink()


def _must_have_reason(store: Store, number: str, because: str, operator: str) -> None:
    """Found out before the test as well: another test amends the certificate that was given."""
    from bench.records.entry import Kind
    from bench.sitting.reason import is_reason

    if because:
        if not is_reason(because):
            raise BadInput(f"--because {because!r}: expected a reason in words")
    elif store.last(number, Kind.CERTIFICATE) is not None and not (operator == "terminal" and sys.stdin.isatty()):
        raise BadInput("--because REASON: a certificate was given before, which this test amends: expected a reason")


def _plan(
    job: Job, job_file: Path, bench: BenchFile, meters: tuple[str, ...], procedure_name: str | None, as_json: bool
) -> int:
    """Nothing is kept, so that a plan needs no lock."""
    from bench.cli.test_plan import planned_equipment, show_plan
    from bench.design.expected import NotEnough
    from bench.sitting.opening import open_store
    from bench.sitting.procedure_choice import chosen_procedure, read_before
    from bench.whole_test import procedure_for

    with open_store() as store:
        entries = store.landmarks(job.identity.number)
    wanted, rules = chosen_procedure(procedure_name, entries)
    try:
        procedure = procedure_for(
            job, planned_equipment(job, bench, meters), rules,
            procedure=wanted, before=read_before(wanted, entries),
        )  # fmt: skip
    except NotEnough as problem:
        raise BadInput(f"{job_file}: {problem}") from None
    show_plan(procedure, job, wanted.name, as_json=as_json)
    return ExitStatus.DONE


def _run(
    job: Job,
    job_file: Path,
    bench: BenchFile,
    store: Store,
    meters: tuple[str, ...],
    procedure_name: str | None,
    operator_text: str,
    paper: tuple[Path | None, str],
    reason: str,
    sitting: tuple[bool, tuple[str, ...]],
    wire_log: Path | None,
    as_json: bool,
) -> int:
    from contextlib import ExitStack

    from bench.acceptance.report import report
    from bench.acceptance.watching import MACHINE
    from bench.cli.at_the_bench import open_operator, patience_with
    from bench.cli.record_certificate import given
    from bench.cli.test_views import JsonView, TerminalView
    from bench.sitting.at_the_test import NOT_KEPT, AskedTest, at_the_test
    from bench.sitting.certificate_file import told_of
    from bench.whole_test import sentences

    number = job.identity.number
    machine = as_json or operator_text == "json"
    anew, again = sitting
    asked = AskedTest(meters, procedure_name, reason, anew, again, wire_log, "--anew begins a new one")

    def said(words: str) -> None:
        click.echo(words, err=True)

    def operator(wanted: Asked) -> tuple[Operator, Patience]:
        patience = patience_with(operator_text)
        keyless = wanted.by_hand is None and patience is not MACHINE
        return open_operator(operator_text, job, as_json, things, keyless=keyless), patience

    def views(procedure: Procedure, instrument: Instrument) -> tuple[Observer, ...]:
        if as_json:
            return (JsonView(sys.stdout),)
        return () if machine else (TerminalView(sys.stdout),)

    with ExitStack() as things:
        session = at_the_test(job, job_file, bench, store, asked, operator, views, said, things)
        try:
            result = session.run()
        except KeyboardInterrupt:
            click.echo("\nvolts to zero and unplug before you touch the unit; what was read is kept", err=True)
            raise
    if machine:
        click.echo(json.dumps({"result": result.as_json()}))
    else:
        click.echo("\n" + report(result, sentences(result)))
        click.echo(f"Record: {store.path}, head {store.head(number)[:16]}")
    if not session.kept:
        click.echo(NOT_KEPT, err=True)
    certificate, because = paper
    if certificate is not None and session.kept:
        gift = given(store, number, certificate, over=False, because=because)
        click.echo(f"Certificate: {certificate}: {told_of(gift)}", err=True)
    return of_verdict(result.verdict)
