"""`turnproof record`: the record of a job, and whether its chain is whole."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.records.store import Store

__all__ = ["command"]


@click.command("record")
@click.argument("job", required=False)
@click.option("--verify", is_flag=True, help="Check the hash chain and what is attached, and say what is wrong.")
@click.option("--certificate", type=click.Path(path_type=Path), help="Write the certificate of the last test, HTML.")
@click.option("--all", "every", is_flag=True, help="Every count of a run, and not its first and last in one line.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(job: str | None, verify: bool, certificate: Path | None, every: bool, as_json: bool) -> int:
    """Show the record of JOB (a job file, or the number of a job); without JOB, list the jobs that have one."""
    from bench.records.problem import RecordProblem
    from bench.sitting.opening import open_store

    try:
        with open_store() as store:
            if job is None:
                return _list(store.jobs(), as_json)
            number = _number(job)
            if not store.count(number):
                raise BadInput(f"{number}: no record, expected one of {', '.join(store.jobs()) or 'none yet'}")
            if verify:
                return _verify(store, number)
            if certificate is not None:
                return _certificate(store, number, certificate)
            return _show(store, number, every, as_json)
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _number(job: str) -> str:
    from bench.sitting.opening import open_job

    path = Path(job)
    return open_job(path).identity.number if path.suffix == ".toml" or path.is_file() else job


def _list(jobs: list[str], as_json: bool) -> int:
    if as_json:
        click.echo(json.dumps({"schema": 1, "jobs": jobs}))
    else:
        click.echo("\n".join(jobs) if jobs else "no records yet")
    return ExitStatus.DONE


def _verify(store: Store, number: str) -> int:
    from bench.sitting.record_checked import checked

    found = checked(store, number)
    for line in found.problems:
        click.echo(line, err=True)
    if found.problems:
        return ExitStatus.REJECTED
    click.echo(f"{number}: {found.words}, head {found.head}")
    return ExitStatus.DONE


def _certificate(store: Store, number: str, path: Path) -> int:
    from bench.records.certificate import NoTestYet, certificate_from_record

    try:
        text = certificate_from_record(store, number)
    except NoTestYet as problem:
        raise BadInput(str(problem)) from None
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as problem:
        raise BadInput(f"{path}: can't be written: {problem.strerror}") from None
    click.echo(f"{path}: written")
    return ExitStatus.DONE


def _show(store: Store, number: str, every: bool, as_json: bool) -> int:
    from bench.sitting.record_words import entry_summary, run_summary, runs

    entries = store.entries(number) if every or as_json else store.landmarks(number)
    if as_json:
        fields = ("seq", "kind", "at", "monotonic", "body", "previous", "hash")
        document = {"schema": 1, "job": number, "entries": [{f: getattr(e, f) for f in fields} for e in entries]}
        click.echo(json.dumps(document, indent=1))
        return ExitStatus.DONE
    for run in [[one] for one in entries] if every else runs(entries):
        first = run[0]
        words = entry_summary(first) if len(run) == 1 else f"{run_summary(run)}; --all shows each"
        click.echo(f"{first.seq:6d}  {first.at[:19].replace('T', ' ')}  {first.kind:<13} {words}")
    click.echo(f"head {store.head(number)}")
    return ExitStatus.DONE
