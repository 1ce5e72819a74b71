"""`turnproof check`: say all that is wrong with a file, and what a job still needs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bench.cli.exits import ExitStatus
from bench.sitting.problems import BadInput

if TYPE_CHECKING:
    from bench.job.model import Job

__all__ = ["command"]


def _print_schema(ctx: click.Context, _: click.Parameter, kind: str | None) -> None:
    """Instead of a check: it needs no file."""
    if kind is None or ctx.resilient_parsing:
        return
    from bench.job.schema import schema_of

    click.echo(json.dumps(schema_of(kind), indent=2))
    ctx.exit(ExitStatus.DONE)


@click.command("check")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--schema",
    type=click.Choice(["job", "bench", "procedure", "rules"]),
    is_eager=True,
    expose_value=False,
    callback=_print_schema,
    help="Print the JSON Schema of such a file, for an editor, and check nothing.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
def command(files: tuple[Path, ...], as_json: bool) -> int:
    """Check job files, bench files, procedures, rules and instrument profiles: one line for each problem.

    An editor that knows JSON Schema completes keys and marks slips while you type. Write the schema beside your file,
    and name it in the first line of the file:

    \b
    turnproof check --schema job > job.schema.json
    #:schema ./job.schema.json
    """
    reports = [_check(path) for path in files]
    if as_json:
        click.echo(json.dumps({"schema": 1, "files": reports}, indent=2))
    else:
        for report in reports:
            for line in report["problems"]:
                click.echo(line, err=True)
            if not report["problems"]:
                click.echo(f"{report['file']}: {report['kind']}, good")
                for need in report["needs"]:
                    click.echo(f"  for the test it still needs {need}")
                for doubt in report["doubts"]:
                    click.echo(f"  doubtful: {doubt}")
    return ExitStatus.BAD_INPUT if any(report["problems"] for report in reports) else ExitStatus.DONE


def _check(path: Path) -> dict[str, Any]:
    from bench.job.file import FileProblem, read_bench_file, read_job
    from bench.job.rules_file import rules_of

    kind = _kind(path)
    report: dict[str, Any] = {"file": str(path), "kind": kind, "problems": [], "needs": [], "doubts": []}
    try:
        if kind == "bench file":
            read_bench_file(path)
        elif kind.endswith("profile"):
            report["problems"] = _profile_problems(path, kind)
        elif kind == "procedure":
            report["problems"] = _procedure_problems(path)
        elif kind == "rules":
            rules_of(path.name, path.parent)
        else:
            job = read_job(path)
            report["needs"] = _needs(job)
            report["doubts"] = _doubts(job)
    except FileProblem as problem:
        report["problems"] = problem.lines
    return report


def _kind(path: Path) -> str:
    """A bench file holds meters, counters or a workshop; a profile says how a line is set; everything else is a job."""
    from bench.job.bench_file import BenchFile
    from bench.job.file import FileProblem, read_table

    try:
        data = read_table(path)
    except FileProblem:
        return "job file"
    if "identity" in data and isinstance(data["identity"], dict) and "number" in data["identity"]:
        return "job file"
    if "interface" in data:
        return "meter profile" if "functions" in data else "counter profile"
    if "step" in data and "identity" not in data and "meter" not in data:
        return "procedure"
    if path.suffix == ".toml" and _holds_limits(data):
        return "rules"
    bench_keys = set(BenchFile.model_fields) & set(data)
    return "bench file" if bench_keys and "winding" not in data else "job file"


def _holds_limits(data: dict[str, Any]) -> bool:
    """Rules name the table that they go over, or have its tables; a job may be half empty, but has no limits."""
    from bench.job.model import Job
    from bench.job.profiles import load_table

    tables = {key for key, value in data.items() if isinstance(value, dict)}
    if "identity" in tables or "winding" in data:
        return False
    only_there = set(load_table("limits", "small-mains")) - set(Job.model_fields)
    return "over" in data or bool(tables & only_there)


def _profile_problems(path: Path, kind: str) -> list[str]:
    from drivers.errors import ProfileError
    from drivers.profile_files import load_counter_profile, load_meter_profile

    try:
        if kind == "meter profile":
            load_meter_profile(str(path))
        else:
            load_counter_profile(str(path))
    except ProfileError as problem:
        return str(problem).splitlines()
    return []


def _procedure_problems(path: Path) -> list[str]:
    from bench.acceptance.phases import phases_of
    from bench.job.file import FileProblem
    from bench.job.procedure_file import read_procedure
    from bench.job.rules_file import rules_of

    procedure = read_procedure(path)
    problems = []
    try:
        phases_of(procedure)
    except ValueError as problem:
        problems.append(f"{path}: {problem}")
    try:
        rules_of(procedure.rules, path.parent)
    except FileProblem as problem:
        problems += [line if ".toml" in line else f"{path}: {line}" for line in problem.lines]
    return problems


def _needs(job: Job) -> list[str]:
    from bench.design.expected import NotEnough, expect, needs_for_test
    from bench.job.profiles import load_table

    needs = needs_for_test(job)
    if needs:
        return needs
    try:
        expectation = expect(job, load_table("limits", "small-mains"))
    except NotEnough as problem:  # pragma: no cover - needs_for_test has said so already
        raise BadInput(str(problem)) from None
    return [_of_core(job) + _NO_CURVE if line.endswith(_NO_CURVE) else line for line in expectation.missing]


# How the design ends the line which says that the core is not known.
_NO_CURVE = ": no exciting current, no watts"


def _of_core(job: Job) -> str:
    """The keys of the core that are not there, and only those."""
    core = job.core
    absent = [
        *(["core.lamination (or tongue and window)"] if core.shape is None else []),
        *(["core.stack"] if core.stack is None else []),
        *(["core.steel"] if not core.steel else []),
    ]
    return ", ".join(absent)


# No sheet carries more at the peak: silicon steel saturates at about 2.0 T (memory).
_SATURATED = 2.0


def _doubts(job: Job) -> list[str]:
    """What is valid and yet can't be meant: a slip in turns or in the core's size shows in the flux density."""
    from bench.magnetics.emf import flux_density

    primary, area = job.primary, job.core.net_area
    if job.supply is None or primary is None or primary.turns is None or area is None:
        return []
    found = flux_density(job.supply.voltage, job.supply.frequency, primary.turns, area)
    if found < _SATURATED:
        return []
    return [
        f"{primary.turns} turns at {job.supply.voltage:g} V make {found:.1f} T, and no steel carries {_SATURATED:g} T: "
        f"look at winding.{primary.name}.turns, core.tongue and core.stack"
    ]
