"""`turnproof survey`: what was read and counted on the unit as found, and what follows from it."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.cli.options import Finite
from bench.sitting.problems import BadInput, InstrumentTrouble

if TYPE_CHECKING:
    from bench.cli.survey_metered import Metered
    from bench.cli.survey_strip import Strip
    from bench.job.bench_file import BenchFile, MeterEntry
    from bench.job.model import Job
    from bench.records.store import Store
    from bench.sitting.survey_known import KnownSoFar

__all__ = ["command"]


@click.command("survey")
@click.argument("job_file", metavar="JOB", type=click.Path(path_type=Path))
@click.option("--read", "reading", is_flag=True, help="Take the readings as found, least risk first.")
@click.option("--meter", default="", help="PROFILE@PORT, or a meter of the bench file; one without a port is typed.")
@click.option("--operator", help="With a meter on a port: terminal, json, or rehearsal@PORT.  [default: terminal]")
@click.option("--go-on-because", default="", metavar="REASON", help="Feed past the insulation's gate; recorded.")
@click.option("--strip", metavar="WINDING", help="Count a winding as it comes off.")
@click.option("--counter", default="hand", show_default=True, help="PROFILE@PORT, one of the bench file, or hand.")
@click.option("--from", "start", type=Finite(0, 100_000), help="Turns that are off already, in place of those kept.")
@click.option("--rest", type=Finite(min=0.1), help="Seconds without a move that end a go by themselves.")
@click.option("--done", is_flag=True, help="When the go ends, the winding is off whole.")
@click.option("--again", is_flag=True, help="Count a winding anew that is recorded as off.")
@click.option("--readings", is_flag=True, help="Say what the old windings should read.")
@click.option("--note", metavar="TEXT", help="Keep a note in the record.")
@click.option("--photo", type=click.Path(path_type=Path), help="Keep a photograph, or any file up to 50 MB.")
@click.option("--caption", metavar="TEXT", help="What stands under the photograph.")
@click.option("--on-certificate", is_flag=True, help="The photograph is to stand on the certificate.")
@click.option("--of", "of", metavar="WINDING", help="What the note or photograph is of.")
@click.option("--bench", "bench_path", type=click.Path(path_type=Path), help="Bench file; else your own.")
@click.option("--wire-log", type=click.Path(path_type=Path), help="Keep every byte on the instrument's line.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout; what is asked goes to stderr.")
def command(
    job_file: Path,
    reading: bool,
    meter: str,
    operator: str | None,
    go_on_because: str,
    strip: str | None,
    counter: str,
    start: float | None,
    rest: float | None,
    done: bool,
    again: bool,
    readings: bool,
    note: str | None,
    photo: Path | None,
    caption: str | None,
    on_certificate: bool,
    of: str | None,
    bench_path: Path | None,
    wire_log: Path | None,
    as_json: bool,
) -> int:
    """Tell what the unit of JOB as found says: turns per volt, turns of each winding, what disagrees.

    Ends with 0 when turns per volt stand and nothing disagrees (with --strip: when the winding is off whole), else 2.
    """
    from bench.cli.survey_attach import Attached, attach
    from bench.cli.survey_readings import show_readings
    from bench.cli.survey_strip import Strip
    from bench.job.profiles import load_table
    from bench.records.instrument_entry import keep_hand_meter
    from bench.records.kept_profiles import keep_job_file, keep_tables
    from bench.records.problem import RecordProblem
    from bench.sitting.opening import HAND, meter_entry, open_bench_file, open_job, open_store, take_job_lock
    from bench.sitting.shared_records import bring_up_to_date
    from bench.sitting.survey_known import known_so_far, winding_as_found

    job = open_job(job_file)
    if photo is None and (caption is not None or on_certificate):
        raise BadInput("--caption, --on-certificate: expected only with --photo")
    _must_go_together(reading, strip, note, photo, of, (start, rest, done, again, counter), meter)
    bench = open_bench_file(bench_path)
    entry = _meter_on_a_port(bench, meter)
    _must_have_a_port(entry is not None, operator, go_on_because, wire_log if strip is None else None)
    metered = None
    if entry is not None:
        from bench.cli.survey_metered import Metered

        metered = Metered(entry, operator or "terminal", go_on_because, wire_log, as_json)
    rules = load_table("limits", "survey")
    try:
        with open_store() as store:
            if note is not None or photo is not None:
                bring_up_to_date(store, job.identity.number)
                keep_job_file(store, job.identity.number, job_file)
                return attach(job, store, Attached(note, photo, of, caption, on_certificate), as_json)
            if reading:
                with take_job_lock(job, "survey --read"):
                    _job_kept(store, job, job_file)
                    keep_tables(store, job.identity.number, [("limits", "survey")])
                    if metered is not None:
                        return _read_by_meter(job, str(job_file), store, bench, rules, metered)
                    keep_hand_meter(store, job.identity.number, meter_entry(bench, meter or HAND), "survey")
                    _read(job, store, bench, rules, meter, as_json)
            elif strip is not None:
                with take_job_lock(job, "survey --strip"):
                    known = known_so_far(job, store, bench, rules, curve=False)
                    name = winding_as_found(known, strip, f"--strip, {job_file}").name
                    _job_kept(store, job, job_file)
                    keep_tables(store, job.identity.number, [("limits", "survey")])
                    asked = Strip(name, counter, start, rest, done, again, wire_log)
                    return _strip(job, str(job_file), store, bench, rules, known, asked, as_json)
            known = known_so_far(job, store, bench, rules)
            if readings:
                return show_readings(job, known, as_json)
            _show(job, str(job_file), known, as_json)
            return _status(known)
    except RecordProblem as problem:
        raise InstrumentTrouble(str(problem)) from None


def _must_go_together(
    reading: bool,
    strip: str | None,
    note: str | None,
    photo: Path | None,
    of: str | None,
    of_strip: tuple[float | None, float | None, bool, bool, str],
    meter: str,
) -> None:
    """One thing at a time, and no option that would do nothing; raises BadInput."""
    keeping = note is not None or photo is not None
    asked = [
        word for word, on in (("--read", reading), ("--strip", strip is not None), ("--note/--photo", keeping)) if on
    ]
    if len(asked) > 1:
        raise BadInput(f"{' and '.join(asked)}: expected one of them at a time")
    if strip is None and of_strip != (None, None, False, False, "hand"):
        raise BadInput("--counter, --from, --rest, --done, --again: expected only with --strip WINDING")
    if of is not None and not keeping:
        raise BadInput("--of: expected only with --note or --photo")
    if meter and not reading:
        raise BadInput("--meter: expected only with --read")


def _meter_on_a_port(bench: BenchFile, meter: str) -> MeterEntry | None:
    """The entry of a meter that this program reads itself; None for one that a person reads; raises BadInput."""
    from bench.sitting.opening import HAND, meter_entry

    if not meter or meter == HAND:
        return None
    if meter not in {entry.name for entry in bench.meter} and "@" not in meter:
        names = ", ".join(entry.name for entry in bench.meter) or "none yet"
        raise BadInput(
            f"--meter {meter!r}: expected the name of a meter in the bench file ({names}), PROFILE@PORT, or hand"
        )
    entry = meter_entry(bench, meter)
    return None if entry.use == HAND else entry


def _must_have_a_port(metered: bool, operator: str | None, reason: str, wire_log: Path | None) -> None:
    if metered:
        return
    if operator is not None or reason:
        raise BadInput("--operator, --go-on-because: expected only with --read and a --meter on a port")
    if wire_log is not None:
        raise BadInput("--wire-log: expected only with --strip WINDING, or with --read and a --meter on a port")


def _job_kept(store: Store, job: Job, job_file: Path) -> None:
    from bench.records.entry import Kind

    body = {"file": job_file.name, "text": job_file.read_text(encoding="utf-8")}
    store.append(job.identity.number, Kind.JOB_FILE, body)


def _show(job: Job, job_file: str, known: KnownSoFar, as_json: bool) -> None:
    from bench.cli.survey_next import next_command
    from bench.cli.survey_views import survey_document, survey_lines
    from bench.cli.wrapped import say
    from bench.survey.undecided import undecided_because

    if as_json:
        click.echo(json.dumps(survey_document(job.identity.number, known), indent=1))
        return
    for line in survey_lines(known, job_file):
        say(line)
    why, then = undecided_because(known.survey), next_command(known, job_file)
    if why or then:
        say()
    if why:
        say(f"undecided, status 2: {why}")
    if then:
        say(f"next: {then}")


def _status(known: KnownSoFar) -> int:
    from bench.survey.undecided import undecided_because

    return ExitStatus.UNDECIDED if undecided_because(known.survey) else ExitStatus.DONE


def _read(job: Job, store: Store, bench: BenchFile, rules: dict[str, Any], meter: str, as_json: bool) -> None:
    from bench.cli.survey_read import AsFoundReader, Stopped
    from bench.cli.typed_lines import TypedLines
    from bench.cli.wrapped import say
    from bench.records.entry import Kind
    from bench.sitting.survey_known import known_so_far

    number = job.identity.number

    def keep(kind: str, body: dict[str, Any]) -> None:
        store.append(number, Kind(kind), body)

    reader = AsFoundReader(
        TypedLines(sys.stdin, prompts_on_stderr=as_json),
        lambda line: say(line, err=as_json),
        keep,
        lambda: known_so_far(job, store, bench, rules, curve=False),
        float(rules["insulation"]["refuse_ohm"]),
        meter,
    )
    try:
        reader.read_all()
    except Stopped as why:
        click.echo(f"{why}; what was read is kept", err=True)
    except KeyboardInterrupt:
        click.echo("\nvolts to zero and unplug before you touch the unit; what was read is kept", err=True)
        raise
    click.echo("", err=as_json)


def _read_by_meter(
    job: Job, job_file: str, store: Store, bench: BenchFile, rules: dict[str, Any], asked: Metered
) -> int:
    """The readings by a meter on a port, then the survey that follows from them."""
    from bench.cli.survey_metered import read_by_meter, summary_lines
    from bench.cli.survey_views import survey_document
    from bench.sitting.survey_known import known_so_far

    def so_far() -> KnownSoFar:
        return known_so_far(job, store, bench, rules, curve=False)

    summary = read_by_meter(job, store, bench, rules, so_far, asked)
    known = known_so_far(job, store, bench, rules)
    if asked.by_machine:
        result = {"reading": summary.as_json(), "survey": survey_document(job.identity.number, known)}
        click.echo(json.dumps({"schema": 1, "result": result}))
    else:
        click.echo("")
        for line in summary_lines(summary):
            click.echo(line, err=True)
        _show(job, job_file, known, as_json=False)
    return ExitStatus.TROUBLE if summary.trouble else _status(known)


def _strip(
    job: Job,
    job_file: str,
    store: Store,
    bench: BenchFile,
    rules: dict[str, Any],
    known: KnownSoFar,
    asked: Strip,
    as_json: bool,
) -> int:
    from bench.cli.survey_strip import strip_in_goes
    from bench.cli.survey_views import JsonStripView, TerminalStripView, stripped_document, stripped_lines
    from bench.cli.typed_lines import TypedLines
    from bench.cli.wrapped import say
    from bench.sitting.coming_off import begin, finish
    from bench.sitting.survey_known import known_so_far

    number = job.identity.number
    before = known.winding(asked.winding)
    expected = None if before is None else before.expected

    def told(line: str) -> None:
        click.echo(line, err=True)

    stripping = begin(
        store, number, asked.winding, rules["count"], expected, told, again=asked.again, start=asked.start
    )
    keyboard = TypedLines(sys.stdin, prompts_on_stderr=as_json)
    view: JsonStripView | TerminalStripView
    if as_json:
        view = JsonStripView(sys.stdout, expected)
        view.moved(stripping.state, None)
    else:
        view = TerminalStripView(sys.stdout, expected, live=sys.stdout.isatty())
        for line in _before(known, asked.winding):
            say(line)
    state, whole = strip_in_goes(stripping, keyboard, view, bench, asked)
    if not whole:
        say(f"{asked.winding}: not off whole yet, so undecided, status 2; the same command goes on from here", err=True)
        return ExitStatus.UNDECIDED
    body = finish(stripping, state)
    after = known_so_far(job, store, bench, rules, curve=as_json)
    if as_json:
        click.echo(json.dumps(stripped_document(number, after, body)))
    else:
        for line in stripped_lines(after, body, job_file):
            say(line)
    one = after.winding(asked.winding)
    if one is None or one.agrees:
        return ExitStatus.DONE
    say(f"undecided, status 2: the count of {asked.winding} lies apart from all the rest", err=as_json)
    return ExitStatus.UNDECIDED


def _before(known: KnownSoFar, name: str) -> list[str]:
    """What to expect before the first turn comes off, and what the job file says already."""
    from bench.survey.sentences import expectation_line

    one = known.winding(name)
    if known.survey is None or one is None:
        return []
    lines = [expectation_line(known.survey, one)]
    if one.counted is not None and one.counted.how == "job file":
        lines.append(f"{name}: the job file has {one.counted.turns:g} turns; what is counted now takes their place")
    due = known.survey.next_winding
    if due not in (None, name):
        lines.append(f"{name}: the outermost that is not counted yet is {due}")
    return lines
