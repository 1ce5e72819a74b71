"""`turnproof record`: the record of a job, and whether its chain is whole."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.records.entry import Entry
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
            if not store.entries(number):
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
    from bench.records.attachments import attachments_folder, problems_of
    from bench.records.entry import Kind

    problems = store.verify(number)
    files = store.entries(number, Kind.PHOTO)
    folder = attachments_folder(store.path)
    problems += [f"{number}: entry {one.seq}: {line}" for one in files for line in problems_of(folder, one.body)]
    for line in problems:
        click.echo(line, err=True)
    if problems:
        return ExitStatus.REJECTED
    attached = f", {len(files)} attached unaltered" if files else ""
    click.echo(f"{number}: {len(store.entries(number))} entries, chain whole{attached}, head {store.head(number)}")
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
    entries = store.entries(number)
    if as_json:
        fields = ("seq", "kind", "at", "monotonic", "body", "previous", "hash")
        document = {"schema": 1, "job": number, "entries": [{f: getattr(e, f) for f in fields} for e in entries]}
        click.echo(json.dumps(document, indent=1))
        return ExitStatus.DONE
    for run in [[one] for one in entries] if every else _runs(entries):
        first = run[0]
        words = _words(first) if len(run) == 1 else _run_summary(run)
        click.echo(f"{first.seq:6d}  {first.at[:19].replace('T', ' ')}  {first.kind:<13} {words}")
    click.echo(f"head {store.head(number)}")
    return ExitStatus.DONE


def _runs(entries: list[Entry]) -> list[list[Entry]]:
    """Counts of one winding that follow each other together, every other entry by itself."""
    runs: list[list[Entry]] = []
    for entry in entries:
        if runs and _counts_on(runs[-1][-1], entry):
            runs[-1].append(entry)
        else:
            runs.append([entry])
    return runs


def _counts_on(before: Entry, entry: Entry) -> bool:
    same = before.kind == entry.kind and before.body.get("winding") == entry.body.get("winding")
    return same and entry.kind in ("count", "strip count")


def _run_summary(run: list[Entry]) -> str:
    """How many counts, up to which entry, from which turns to which."""
    key = "off" if run[0].kind == "strip count" else "turns"
    last = run[-1]
    return (
        f"winding {last.body.get('winding')}, {len(run)} counts to entry {last.seq} at {last.at[11:19]}, "
        f"{key} {run[0].body.get(key)} to {last.body.get(key)}; --all shows each"
    )


def _words(entry: Entry) -> str:
    from bench.records.entry import Kind

    if entry.kind in (Kind.RESTACK, Kind.VARNISH):
        from bench.winding.stage import entry_words

        return _one_line(entry_words(entry.body))
    return _summary(entry.body)


_FIRST = (
    "id",
    "part",
    "stage",
    "step",
    "event",
    "winding",
    "name",
    "off",
    "turns",
    "verdict",
    "quantity",
    "measured",
    "value",
    "unit",
    "state",
)


def _summary(body: dict[str, object]) -> str:
    """The telling fields first, as much as a line holds."""
    left_out = [
        "components",
        "fed_components",
        "counter",
        "steps",
        "findings",
        "not_done",
        "raw",
        "schema",
        "stripping",
        *_FIRST,
    ]
    if "file" in body:  # of a job file the name tells enough
        left_out.append("text")
    ordered = {key: body[key] for key in _FIRST if key in body} | {k: v for k, v in body.items() if k not in left_out}
    text = ", ".join(f"{key} {value}" for key, value in ordered.items() if value not in (None, "", [], {}))
    return _one_line(text)


def _one_line(text: str) -> str:
    """What a person or a fixture sent may hold anything; here it stays one line and moves no cursor."""
    text = "".join(c if c.isprintable() else " " for c in text)
    return text if len(text) <= 120 else text[:117] + "..."
